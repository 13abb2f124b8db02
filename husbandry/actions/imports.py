"""Take in a logger's file, and keep how the files of one source are read."""

from collections.abc import Iterable
from collections.abc import Mapping as Named
from dataclasses import replace
from datetime import datetime
from hashlib import sha256
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.readings import write_readings
from husbandry.models import LoggerMapping, Probe, ReadingImport
from husbandry.queries.logger_files import LoggerFile, look_at_file, site_zone
from husbandry.rules.import_answers import (
    ABOUT_ANSWERS,
    NO_ANSWERS,
    Answers,
    FileUndecidedError,
)
from husbandry.rules.import_columns import ChannelProbe, readings_of_probes
from husbandry.rules.import_reports import ImportReport, report_import
from husbandry.rules.loggers.mapping import Mapping, to_document
from husbandry.rules.loggers.readings import parse_readings
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted, facts
from husbandry.rules.loggers.zones import SITE

_NAME_LENGTH = 200
_UTC = ZoneInfo("UTC")


class NothingForProbesError(DomainError):
    """The file has no quantity that its probes measure."""

    code = "nothing_for_probes"


def import_logger_file(
    *,
    data: bytes,
    file_name: str,
    probe_for: Named[str, Probe | None],
    mapping: Mapping | None = None,
    answers: Answers = NO_ANSWERS,
    source_name: str | None = None,
    save_as: str = "",
    by: User | None,
    at: datetime,
) -> ImportReport:
    """Take in a logger's file: all of its good rows, or nothing. Safe to run again.

    A file that cannot be relied on is refused whole, which is recorded too. A file
    about which something must be asked is neither taken nor recorded.

    Args:
        data: the file.
        file_name: its name.
        probe_for: probe by channel; see `look_at_file`. Probes come with their
            enclosure, room and site, as from `probes_by_code`.
        mapping: how to read it where that is decided; None lets it be proposed.
        answers: what a person said about this file.
        source_name: whose saved mapping to use; None for none.
        save_as: name of the source to save the mapping for; empty for not at all.
        by: who brought it.
        at: when.

    Returns:
        What became of its rows. It is kept as a ReadingImport.

    Raises:
        FileUndecidedError: with the questions to answer.
        UntrustedFileError: the file is refused, which is recorded, or an answer
            does not fit it, which is not.
        NothingForProbesError: no probe measures what the file holds; recorded too.
        ZonesDifferError: see there. Likewise the errors of `look_at_file`.
    """
    digest = sha256(data).hexdigest()
    try:
        looked = look_at_file(
            data=data,
            file_name=file_name,
            probe_for=probe_for,
            answers=answers,
            mapping=mapping,
            source_name=source_name,
        )
        if looked.questions:
            raise FileUndecidedError(file_name, looked.questions)
        return _take_in(looked, digest, answers, save_as=save_as, by=by, at=at)
    except UntrustedFileError as error:
        if error.reason not in ABOUT_ANSWERS:
            _record_refused(file_name, error, digest, by=by, at=at)
        raise
    except NothingForProbesError as error:
        _record_refused(file_name, error, digest, by=by, at=at)
        raise


def _record_refused(
    file_name: str, error: DomainError, digest: str, *, by: User | None, at: datetime
) -> None:
    refused = ImportReport(file_name=file_name, accepted=False, reason=error.sentence)
    _record(refused, digest, by=by, at=at)


def save_logger_mapping(
    *, name: str, mapping: Mapping, by: User | None, at: datetime
) -> LoggerMapping:
    """Keep how the files of one source are read; a newer mapping replaces it.

    Args:
        name: of the source, for example the logger's label.
        mapping: decided in every part.
        by: who decided it.
        at: when.

    Raises:
        UntrustedFileError: mapping_undecided, naming the parts.
    """
    if mapping.undecided:
        parts = ", ".join(mapping.undecided)
        raise UntrustedFileError(Untrusted.MAPPING_UNDECIDED, facts(parts=parts))
    with transaction.atomic():
        before = LoggerMapping.objects.filter(name=name).values_list(
            "document", flat=True
        )
        was = {"document": before[0]} if before else {}
        saved, _ = LoggerMapping.objects.update_or_create(
            name=name,
            defaults={
                "document": to_document(mapping),
                "saved_by": by,
                "saved_at": at,
            },
        )
        audit.record(
            saved,
            verb="save_logger_mapping",
            by=by,
            at=at,
            before=was,
            after={"document": to_document(mapping)},
        )
    return saved


@transaction.atomic
def _take_in(
    looked: LoggerFile,
    digest: str,
    answers: Answers,
    *,
    save_as: str,
    by: User | None,
    at: datetime,
) -> ImportReport:
    probes = {channel: probe for channel, probe in looked.probes if probe}
    mapping = _without_left_out(looked)
    parsed = parse_readings(
        looked.sheet,
        mapping,
        site_zone=_zone_of(mapping, probes.values()),
        until=at,
        starts_on=answers.starts_on,
    )
    given = readings_of_probes(
        parsed, [_channel_probe(*pair) for pair in probes.items()]
    )
    if not len(given.columns):
        raise _nothing(looked, *given.left_out)
    stored = write_readings(columns=given.columns, at=at)
    report = report_import(
        file_name=looked.sheet.name,
        mapping=mapping,
        codes={channel: probe.code for channel, probe in probes.items()},
        parsed=parsed,
        given=given,
        stored=stored,
        seen_before=_seen_before(digest),
        saved_as=save_as,
    )
    if save_as:
        save_logger_mapping(name=save_as, mapping=looked.mapping, by=by, at=at)
    _record(report, digest, by=by, at=at)
    return report


def _without_left_out(looked: LoggerFile) -> Mapping:
    """Return the mapping without the columns of channels that were left out."""
    if looked.mapping.channel_column is not None:
        return looked.mapping
    wanted = {channel for channel, probe in looked.probes if probe}
    values = tuple(c for c in looked.mapping.values if c.channel in wanted)
    if not values:
        raise _nothing(looked, "Every channel of it was left out.")
    return replace(looked.mapping, values=values)


def _nothing(looked: LoggerFile, *why: str) -> NothingForProbesError:
    return NothingForProbesError(
        f"Nothing of {looked.sheet.name} was taken. {' '.join(why)} Choose the probe "
        "that made the file, or set the probe up to measure this."
    )


def _zone_of(mapping: Mapping, probes: Iterable[Probe]) -> ZoneInfo:
    return site_zone(probes=probes) if mapping.zone == SITE else _UTC


def _channel_probe(channel: str, probe: Probe) -> ChannelProbe:
    measures = (
        probe.measures_temperature,
        probe.measures_humidity,
        probe.measures_uv_index,
    )
    return ChannelProbe(channel, probe.pk, probe.code, measures)


def _seen_before(digest: str) -> datetime | None:
    """Return when the very same bytes were first taken in, or None."""
    return (
        ReadingImport.objects.filter(sha256=digest, accepted=True)
        .order_by("imported_at")
        .values_list("imported_at", flat=True)
        .first()
    )


@transaction.atomic
def _record(
    report: ImportReport, digest: str, *, by: User | None, at: datetime
) -> ReadingImport:
    record = ReadingImport.objects.create(
        file_name=report.file_name[-_NAME_LENGTH:],
        sha256=digest,
        imported_by=by,
        imported_at=at,
        accepted=report.accepted,
        rows_read=report.rows_read,
        rows_stored=report.stored + report.completed,
        rows_known=report.known,
        rows_refused=report.rows_refused + report.refused + report.conflicting,
        report=report.to_document(),
    )
    audit.record(
        record,
        verb="import_logger_file" if report.accepted else "refuse_logger_file",
        by=by,
        at=at,
        after=audit.values(
            record,
            "file_name",
            "rows_read",
            "rows_stored",
            "rows_known",
            "rows_refused",
        ),
        reason=report.reason,
    )
    return record
