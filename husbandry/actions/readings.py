"""Store readings: checked, once, all or nothing of what is accepted."""

import contextlib
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from zoneinfo import ZoneInfo

import numpy as np
from django.db import IntegrityError, transaction
from numpy.typing import NDArray

from core import audit
from core.errors import DomainError
from core.models import User
from core.zones import day_bounds
from husbandry.actions.reading_storage import (
    complete_readings,
    insert_readings,
)
from husbandry.actions.staleness import mark_nights_stale
from husbandry.models import ReadingImport
from husbandry.queries.stored_readings import probes_in_use, stored_beside
from husbandry.rules.reading_batches import (
    Comparison,
    compare_with_stored,
    days_touched,
    settle_repeats,
)
from husbandry.rules.reading_reports import StoreReport, explain_refusals
from husbandry.rules.readings import (
    AHEAD_S,
    ORDER,
    Codes,
    ProbesInUse,
    ReadingColumns,
    ReadingRefused,
    cap_humidity,
    check_readings,
)

POSTED_BATCH = "posted batch"
ATTEMPTS = 10
"""Each attempt fails only if another batch stored the same instants meanwhile."""


class ReadingsBusyError(DomainError):
    """Others keep storing the same instants at the same moment."""

    code = "readings_busy"


class _OvertakenError(Exception):
    """Another batch changed the same rows between looking and writing."""


@transaction.atomic
def store_readings(
    *, columns: ReadingColumns, by: User | None, at: datetime
) -> StoreReport:
    """Store a posted batch of readings. Safe to send again.

    Good readings beside a bad one are stored. A stored value is never replaced nor
    erased: a missing quantity is added, a different value is reported as
    conflicting. Finished reviews of the nights concerned are marked stale. The
    number of queries does not depend on the batch.

    Args:
        columns: the readings, in any order.
        by: whose batch it is.
        at: when it came in.

    Returns:
        What became of each reading. A batch that brings something new also leaves
        a ReadingImport with its audit entry; one that is known leaves nothing.

    Raises:
        ReadingsBusyError: see there; nothing was stored.

    Source:
        ADR 0003.
    """
    report = write_readings(columns=columns, at=at)
    if report.stored or report.completed:
        batch = ReadingImport.objects.create(
            file_name=POSTED_BATCH,
            sha256=_fingerprint(columns),
            imported_by=by,
            imported_at=at,
            accepted=True,
            rows_read=report.received,
            rows_stored=report.stored + report.completed,
            rows_known=report.known + report.repeated,
            rows_refused=report.refused + report.conflicting,
            report=counts(report),
        )
        audit.record(batch, verb="store_readings", by=by, at=at, after=counts(report))
    return report


def _fingerprint(columns: ReadingColumns) -> str:
    """Return the SHA-256 of a batch as it came, column after column."""
    found = sha256()
    for column in (columns.probe_ids, columns.at, *columns.values()):
        found.update(column.tobytes())
    return found.hexdigest()


def counts(report: StoreReport) -> dict[str, int]:
    """Return a report's counts by name, for a record of it."""
    return {name: n for name, n in asdict(report).items() if name != "refusals"}


@transaction.atomic(savepoint=False)
def write_readings(*, columns: ReadingColumns, at: datetime) -> StoreReport:
    """Do what `store_readings` does, without a record of who did it.

    For actions that leave their own record in the same transaction.

    Args:
        columns: the readings, in any order.
        at: when they came in.

    Raises:
        ReadingsBusyError: see there; nothing was stored.
    """
    report, _ = judge_and_write(columns=columns, at=at)
    return report


def judge_and_write(
    *, columns: ReadingColumns, at: datetime
) -> tuple[StoreReport, Codes]:
    """Do what `write_readings` does, and say of each reading whether it is stored now.

    Args:
        columns: the readings, in any order.
        at: when they came in.

    Returns:
        The report, and one code per reading: 0 is stored now, or was before; else
        its reason's place in `ORDER` plus one.

    Raises:
        ReadingsBusyError: see there; nothing was stored.
    """
    probes, zones = probes_in_use(probe_ids=columns.probe_ids)
    latest_s = int(at.timestamp()) + AHEAD_S
    codes = check_readings(columns, probes, latest_s=latest_s)
    accepted = np.flatnonzero(codes == 0)
    settled = settle_repeats(cap_humidity(columns.take(accepted)))
    compared = _write(settled.readings)
    changed = settled.readings.take(np.concatenate([compared.new, compared.completing]))
    mark_nights_stale(nights=_nights(changed, probes, zones), at=at)
    conflicting = accepted[settled.places[compared.conflicting]]
    _mark(codes, accepted[settled.contradicted], ReadingRefused.REPEATED_DIFFERENTLY)
    _mark(codes, conflicting, ReadingRefused.CONFLICTING)
    refusals = explain_refusals(
        columns,
        codes,
        probes,
        latest_s=latest_s,
        stored_as=compared.stored_as,
        conflicting=conflicting,
    )
    report = StoreReport(
        received=len(columns),
        stored=len(compared.new),
        completed=len(compared.completing),
        known=compared.known,
        repeated=settled.repeated,
        conflicting=len(conflicting),
        refused=len(columns) - len(accepted) + len(settled.contradicted),
        refusals=refusals,
    )
    return report, codes


def _mark(codes: Codes, places: NDArray[np.intp], reason: ReadingRefused) -> None:
    codes[places] = ORDER.index(reason) + 1


def _write(readings: ReadingColumns) -> Comparison:
    """Look, compare, write; look again where another batch was faster."""
    for _ in range(ATTEMPTS):
        compared = compare_with_stored(readings, stored_beside(readings))
        with contextlib.suppress(IntegrityError, _OvertakenError):
            _write_compared(readings, compared)
            return compared
    raise ReadingsBusyError(
        f"{len(readings)} readings could not be stored because others keep storing "
        "the same instants at the same moment. Nothing was stored; send them again."
    )


@transaction.atomic
def _write_compared(readings: ReadingColumns, compared: Comparison) -> None:
    insert_readings(readings.take(compared.new))
    completing = readings.take(compared.completing)
    if complete_readings(completing) < len(completing):
        raise _OvertakenError


def _nights(
    readings: ReadingColumns, probes: ProbesInUse, zones: dict[int, str]
) -> set[tuple[int, date]]:
    """Return the local days, by site, that readings matter to."""
    place, _ = probes.places(readings.probe_ids)
    sites, hold_s = probes.site_ids[place], probes.hold_s[place]
    nights = set()
    for site_id in np.unique(sites).tolist():
        at, hold = readings.at[sites == site_id], hold_s[sites == site_id]
        days = _days(int(at.min()), int((at + hold).max()), ZoneInfo(zones[site_id]))
        starts = np.array([start for _, start in days], dtype=np.int64)
        touched = days_touched(at, hold, starts).tolist()
        nights |= {(site_id, days[n][0]) for n in touched}
    return nights


def _days(first_s: int, last_s: int, zone: ZoneInfo) -> list[tuple[date, int]]:
    """Return the local days that hold these seconds, each with its first second."""
    first = datetime.fromtimestamp(first_s, UTC).astimezone(zone).date()
    last = datetime.fromtimestamp(last_s, UTC).astimezone(zone).date()
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    return [(on, day_bounds(on, zone=zone)[0]) for on in days]
