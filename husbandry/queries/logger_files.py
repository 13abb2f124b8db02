"""What is known about a logger's file before it is taken in."""

from collections.abc import Iterable
from collections.abc import Mapping as Named
from dataclasses import dataclass
from difflib import get_close_matches
from zoneinfo import ZoneInfo

from core.errors import DomainError, NotFoundError
from husbandry.models import LoggerMapping, Probe
from husbandry.rules.import_answers import Answers, apply_answers, still_open
from husbandry.rules.loggers.mapping import Mapping, from_document
from husbandry.rules.loggers.proposals import Proposal, propose_mapping
from husbandry.rules.loggers.questions import channels_of
from husbandry.rules.loggers.remarks import Question
from husbandry.rules.loggers.sheet import Sheet, read_sheet

_LIKE = 3
_LISTED = 5


class UnknownProbeError(NotFoundError):
    """A probe's code that is on no label."""

    code = "unknown_probe"


class UnknownSourceError(NotFoundError):
    """A source of files of which no mapping was saved."""

    code = "unknown_source"


class ZonesDifferError(DomainError):
    """The probes of one file stand in different time zones."""

    code = "zones_differ"


class UnknownChannelError(DomainError):
    """A channel that the file does not have."""

    code = "unknown_channel"


@dataclass(frozen=True, slots=True)
class LoggerFile:
    """A file as it would be read."""

    sheet: Sheet
    proposal: Proposal
    mapping: Mapping
    """The proposal's, with the answers and the probes."""
    probes: tuple[tuple[str, Probe | None], ...]
    """(channel, probe) of those that are settled; None leaves the channel out."""
    questions: tuple[Question, ...]
    """What must be answered before anything is read."""

    @property
    def channels(self) -> tuple[str, ...]:
        """Return the channels of the file, in its order."""
        return channels_of(self.sheet, self.mapping)


def look_at_file(
    *,
    data: bytes,
    file_name: str,
    probe_for: Named[str, Probe | None],
    answers: Answers,
    mapping: Mapping | None,
    source_name: str | None,
) -> LoggerFile:
    """Say how a file would be read, and what has to be asked first. Writes nothing.

    Args:
        data: the file.
        file_name: its name, for reports.
        probe_for: which probe each channel belongs to; None leaves it out. The
            empty name stands for the only channel of a file.
        answers: what a person said.
        mapping: how to read it where that is decided; None lets it be proposed,
            by the saved mapping of the source if one is named.
        source_name: whose saved mapping to use; None for none.

    Returns:
        The file. At most two queries.

    Raises:
        UntrustedFileError: the file cannot be relied on.
        UnknownSourceError: no mapping is saved for that source.
        UnknownProbeError: the saved mapping names a probe that is not there.
        UnknownChannelError: `probe_for` names a channel that the file has not.
        AnswerUnusableError: an answer does not fit the file.
    """
    saved = None if source_name is None else saved_mapping(name=source_name)
    sheet = read_sheet(data, name=file_name)
    proposal = propose_mapping(sheet, saved=mapping or saved)
    applied = apply_answers(sheet, mapping or proposal.mapping, answers)
    probes = _settled(applied, channels_of(sheet, applied), probe_for)
    return LoggerFile(
        sheet=sheet,
        proposal=proposal,
        mapping=applied.with_probes(
            (channel, probe.code if probe else "") for channel, probe in probes.items()
        ),
        probes=tuple(probes.items()),
        questions=still_open(
            sheet, proposal, applied, answers, settled_channels=probes
        ),
    )


def saved_mapping(*, name: str) -> Mapping:
    """Return the mapping that was saved for a source.

    Raises:
        UnknownSourceError: none was; the sentence lists those there are.
    """
    saved = LoggerMapping.objects.filter(name=name).first()
    if saved is not None:
        return from_document(saved.document)
    names = list(LoggerMapping.objects.order_by("name").values_list("name", flat=True))
    raise UnknownSourceError(
        f"No mapping is saved for the source {name!r}. {_offer(name, names, 'Sources')}"
    )


def probes_by_code(*, codes: Iterable[str]) -> dict[str, Probe]:
    """Return probes, each with its enclosure, room and site, by their codes.

    Raises:
        UnknownProbeError: a code is on no label; the sentence offers near ones.
    """
    wanted = list(dict.fromkeys(codes))
    found = {
        probe.code: probe
        for probe in Probe.objects.filter(code__in=wanted).select_related(
            "enclosure__room__site"
        )
    }
    for code in wanted:
        if code not in found:
            known = list(Probe.objects.order_by("code").values_list("code", flat=True))
            raise UnknownProbeError(
                f"There is no probe {code!r}. {_offer(code, known, 'Probes')}"
            )
    return found


def site_zone(*, probes: Iterable[Probe]) -> ZoneInfo:
    """Return the one time zone of the sites where probes stand.

    Args:
        probes: at least one, with enclosure, room and site.

    Raises:
        ZonesDifferError: they stand in several.
    """
    zones = sorted({probe.enclosure.room.site.time_zone for probe in probes})
    if len(zones) > 1:
        raise ZonesDifferError(
            f"The probes of this file stand in the time zones {' and '.join(zones)}. "
            "A file has one clock: say in which zone it runs.",
            fields={"zone": zones[0]},
        )
    return ZoneInfo(zones[0])


def _settled(
    mapping: Mapping, channels: tuple[str, ...], probe_for: Named[str, Probe | None]
) -> dict[str, Probe | None]:
    given = dict(probe_for)
    channels = channels or ("",)  # before any column is known to hold a quantity
    if len(channels) == 1 and "" in given:
        given = {channels[0]: given[""]}
    for channel in given:
        if channel not in channels:
            raise _unknown_channel(channel, channels)
    codes = {
        channel: code
        for channel, code in mapping.probes
        if channel in channels and channel not in given
    }
    known = probes_by_code(codes=filter(None, codes.values()))
    return given | {channel: known.get(code) for channel, code in codes.items()}


def _unknown_channel(channel: str, channels: tuple[str, ...]) -> UnknownChannelError:
    named = ", ".join(map(repr, filter(None, channels))) or "one without a name"
    wrong = f"The file has no channel {channel!r}." if channel else "One is not enough."
    return UnknownChannelError(
        f"{wrong} The file's channels: {named}. Give each a probe, or leave it out.",
        fields={"channels": channel},
    )


def _offer(name: str, known: list[str], things: str) -> str:
    """Return a sentence with the nearest names, or the first ones."""
    near = get_close_matches(name, known, n=_LIKE)
    folded = {one.casefold(): one for one in known}
    if not near:
        near = [
            folded[one] for one in get_close_matches(name.casefold(), folded, n=_LIKE)
        ]
    if near:
        return f"Did you mean {' or '.join(near)}?"
    if not known:
        return f"There are no {things.lower()} yet."
    more = ", …" if len(known) > _LISTED else ""
    return f"{things} there are: {', '.join(known[:_LISTED])}{more}."
