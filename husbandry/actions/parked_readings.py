"""Keep readings under codes that nobody knows, until somebody says whose they are."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from django.db import connection, transaction

from core import audit
from core.models import User
from husbandry.models import UnclaimedBatch, UnclaimedReadings
from husbandry.rules.reading_batches import Settled, settle_repeats
from husbandry.rules.reading_reports import (
    RefusedReading,
    explain_refusals,
)
from husbandry.rules.readings import (
    AHEAD_S,
    ORDER,
    Codes,
    ReadingColumns,
    ReadingRefused,
    cap_humidity,
    check_readings,
)
from husbandry.rules.unclaimed import (
    UnclaimedColumns,
    Waiting,
    any_probes,
    could_be_a_code,
    digest_of,
    no_room,
    packed,
)
from husbandry.rules.vocabulary import UnclaimedState

# Of an advisory lock on PostgreSQL: bounds are counted by one batch at a time.
_GATE = 1_908
WAITING = UnclaimedState.WAITING.value
_TOLD = ("code", "readings", "first_at", "last_at", "sent_by", "sent_with")


@dataclass(frozen=True, slots=True)
class ParkedReport:
    """What became of readings under unknown codes; the counts add up to `received`."""

    received: int
    waiting: int
    """Kept, now or by an earlier batch that said the same."""
    repeated: int
    refused: int
    refusals: tuple[RefusedReading, ...]
    codes: tuple[str, ...]
    """Under which readings of this batch wait."""


NOTHING_PARKED = ParkedReport(0, 0, 0, 0, (), ())
Told = dict[int, tuple[str, str]]
"""What was given and what would be accepted, by a code's place."""


@dataclass(frozen=True, slots=True)
class _Part:
    """What a batch holds under one code: a stretch of its settled readings."""

    code: str
    place: int
    stretch: slice
    readings: ReadingColumns

    def row(self, at: datetime) -> UnclaimedReadings:
        """Return a new row for it, not saved."""
        first, last = span_of(self.readings)
        return UnclaimedReadings(
            code=self.code, readings=0, first_at=first, last_at=last, arrived_at=at
        )


@transaction.atomic
def park_readings(
    *, unclaimed: UnclaimedColumns, by: User | None, token_name: str, at: datetime
) -> ParkedReport:
    """Keep readings whose codes nobody knows. Safe to send again.

    They are judged as far as that needs no probe. All that a batch has under one code
    is kept, or, where that would be too much, none of it. The number of queries does
    not depend on the batch.

    Args:
        unclaimed: the readings, in any order; at least one.
        by: who sent them.
        token_name: of the token that they were sent with; "" where it is not known.
        at: when they came in.

    Returns:
        What became of each. A code that did not wait before leaves an audit entry.

    Source:
        ADR 0019.
    """
    latest_s = int(at.timestamp()) + AHEAD_S
    codes, told = _judged(unclaimed, latest_s)
    accepted = np.flatnonzero(codes == 0)
    settled = settle_repeats(cap_humidity(unclaimed.readings.take(accepted)))
    _mark(codes, accepted[settled.contradicted], ReadingRefused.REPEATED_DIFFERENTLY)
    full = _keep(_parts(unclaimed, settled), by, token_name, at)
    for part, why in full:
        told[part.place] = why
        places = accepted[settled.places[part.stretch]]
        _mark(codes, places, ReadingRefused.UNCLAIMED_FULL)
    refused = int((codes != 0).sum())
    kept = np.unique(unclaimed.readings.probe_ids[codes == 0]).tolist()
    return ParkedReport(
        received=len(unclaimed),
        waiting=len(unclaimed) - refused - settled.repeated,
        repeated=settled.repeated,
        refused=refused,
        refusals=_explained(unclaimed, codes, told, latest_s),
        codes=tuple(unclaimed.codes[n] for n in kept),
    )


def _judged(unclaimed: UnclaimedColumns, latest_s: int) -> tuple[Codes, Told]:
    """Return a verdict on each, and what is to be said of codes that are none."""
    probes = any_probes(len(unclaimed.codes))
    codes = check_readings(unclaimed.readings, probes, latest_s=latest_s)
    wrong = [n for n, code in enumerate(unclaimed.codes) if not could_be_a_code(code)]
    no_code = np.isin(unclaimed.readings.probe_ids, wrong)
    _mark(codes, np.flatnonzero(no_code), ReadingRefused.UNKNOWN_PROBE)
    accepted = "the code on its label"
    return codes, {n: (f"probe {unclaimed.codes[n]!r}", accepted) for n in wrong}


def _mark(codes: Codes, places: np.ndarray, reason: ReadingRefused) -> None:
    codes[places] = ORDER.index(reason) + 1


def _parts(unclaimed: UnclaimedColumns, settled: Settled) -> list[_Part]:
    keys, starts = np.unique(settled.readings.probe_ids, return_index=True)
    ends = np.append(starts, len(settled.readings))[1:].tolist()
    return [
        _Part(
            code=unclaimed.codes[key],
            place=key,
            stretch=slice(start, end),
            readings=settled.readings.take(slice(start, end)),
        )
        for key, start, end in zip(keys.tolist(), starts.tolist(), ends, strict=True)
    ]


def _keep(
    parts: list[_Part], by: User | None, token_name: str, at: datetime
) -> list[tuple[_Part, tuple[str, str]]]:
    """Keep what is not kept yet and has room; return the rest with the reason."""
    if not parts:
        return []
    settle_one_at_a_time()
    rows = {row.code: row for row in UnclaimedReadings.objects.filter(state=WAITING)}
    digests = [digest_of(part.readings) for part in parts]
    pairs = list(zip((part.code for part in parts), digests, strict=True))
    known = _known([digest for code, digest in pairs if code in rows])
    full, batches = [], list[UnclaimedBatch]()
    new, old = list[UnclaimedReadings](), list[UnclaimedReadings]()
    for part, pair in zip(parts, pairs, strict=True):
        if pair in known:
            continue
        waiting = Waiting({code: row.readings for code, row in rows.items()})
        if why := no_room(part.code, len(part.readings), waiting):
            full.append((part, why))
            continue
        (old if part.code in rows else new).append(
            row := rows.setdefault(part.code, part.row(at))
        )
        _add(row, part.readings, at)
        row.sent_by, row.sent_with = by, token_name[:80]
        batches.append(batch_of(row, part.readings, at))
    _save(new, old, batches, by, at)
    return full


def settle_one_at_a_time() -> None:
    """Wait for others who keep or settle; SQLite lets one transaction write at a time.

    Taken before readings are stored, always, so that nobody waits in a circle.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_GATE])


def _known(digests: list[str]) -> set[tuple[str, str]]:
    """Return which of some batches wait already; by code, because codes are few."""
    found = UnclaimedBatch.objects.filter(unclaimed__state=WAITING, digest__in=digests)
    return set(found.values_list("unclaimed__code", "digest"))


def _add(row: UnclaimedReadings, readings: ReadingColumns, at: datetime) -> None:
    first, last = span_of(readings)
    row.readings += len(readings)
    row.first_at, row.last_at = min(row.first_at, first), max(row.last_at, last)
    row.last_arrived_at = at


def span_of(readings: ReadingColumns) -> tuple[datetime, datetime]:
    """Return the first and the last instant of readings; there is at least one."""
    first, last = int(readings.at.min()), int(readings.at.max())
    return datetime.fromtimestamp(first, UTC), datetime.fromtimestamp(last, UTC)


def batch_of(
    row: UnclaimedReadings, readings: ReadingColumns, at: datetime
) -> UnclaimedBatch:
    """Return a batch of readings under a row's code, not saved.

    Args:
        row: that waits.
        readings: ordered by instant, each instant once.
        at: when they came in.
    """
    return UnclaimedBatch(
        unclaimed=row,
        digest=digest_of(readings),
        arrived_at=at,
        readings=len(readings),
        packed=packed(readings),
    )


def _save(
    new: list[UnclaimedReadings],
    old: list[UnclaimedReadings],
    batches: list[UnclaimedBatch],
    by: User | None,
    at: datetime,
) -> None:
    UnclaimedReadings.objects.bulk_create(new)
    UnclaimedReadings.objects.bulk_update(
        old,
        [
            *("readings", "first_at", "last_at", "last_arrived_at"),
            *("sent_by", "sent_with"),
        ],
    )
    for batch in batches:
        batch.unclaimed_id = batch.unclaimed.pk
    UnclaimedBatch.objects.bulk_create(batches)
    audit.record_all(
        [
            audit.Deed(row, "park_readings", after=audit.values(row, *_TOLD))
            for row in new
        ],
        by=by,
        at=at,
    )


def _explained(
    unclaimed: UnclaimedColumns, codes: Codes, told: Told, latest_s: int
) -> tuple[RefusedReading, ...]:
    nothing = unclaimed.readings.take(slice(0))
    found = explain_refusals(
        unclaimed.readings,
        codes,
        any_probes(len(unclaimed.codes)),
        latest_s=latest_s,
        stored_as=nothing,
        conflicting=np.empty(0, dtype=np.intp),
    )
    return tuple(_said(one, unclaimed, told) for one in found)


def _said(
    one: RefusedReading, unclaimed: UnclaimedColumns, told: Told
) -> RefusedReading:
    if one.code not in (ReadingRefused.UNKNOWN_PROBE, ReadingRefused.UNCLAIMED_FULL):
        return one
    value, accepted = told[int(unclaimed.readings.probe_ids[one.index])]
    return replace(one, value=value, accepted=accepted)
