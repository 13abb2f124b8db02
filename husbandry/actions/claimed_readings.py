"""Say whose readings are that came under an unknown code, or that they are nobody's."""

from datetime import datetime
from itertools import pairwise
from typing import Any

import numpy as np
from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.parked_readings import (
    WAITING,
    batch_of,
    settle_one_at_a_time,
    span_of,
)
from husbandry.actions.readings import counts, judge_and_write
from husbandry.models import Probe, UnclaimedBatch, UnclaimedReadings
from husbandry.rules.reading_reports import StoreReport
from husbandry.rules.readings import Codes, ReadingColumns
from husbandry.rules.unclaimed import unpacked
from husbandry.rules.vocabulary import UnclaimedState


class UnclaimedError(DomainError):
    """What waits under an unknown code cannot be claimed or discarded as asked."""

    code = "unclaimed_refused"


@transaction.atomic
def claim_readings(
    *, unclaimed: UnclaimedReadings, probe: Probe, by: User | None, at: datetime
) -> UnclaimedReadings:
    """Store readings that came under an unknown code as those of a probe.

    They are checked, compared and stored like posted ones; the nights concerned are
    marked stale. What cannot be stored for this probe is not lost: it goes on waiting
    under its code, in a row of its own.

    Args:
        unclaimed: that waits.
        probe: whose they are.
        by: the person who says so.
        at: now.

    Returns:
        The row, claimed, with the report of what became of each reading.

    Raises:
        UnclaimedError: it waits no more, or not one reading can be stored for this
            probe; nothing has changed.
        ReadingsBusyError: see `store_readings`; nothing has changed.

    Source:
        ADR 0019.
    """
    settle_one_at_a_time()
    said = {"state": UnclaimedState.CLAIMED.value, "probe": probe}
    row = _settled(unclaimed, said, by, at)
    batches = list(row.batches.order_by("arrived_at", "pk"))
    chunks = [bytes(batch.packed) for batch in batches]
    readings = unpacked(chunks, probe_id=probe.pk)
    report, codes = judge_and_write(columns=readings, at=at)
    if codes.all():
        first = report.refusals[0].reason
        raise UnclaimedError(
            f"Not one of the {len(readings):,} readings of {row.code!r} can be stored "
            f"for {probe}; of the first: {first}. Name another probe, or discard them.",
            fields={"probe": "the probe that measured them"},
        )
    row.batches.all().delete()
    row.report = _report(report)
    row.save(update_fields=["report"])
    if codes.any():
        ends = np.cumsum([batch.readings for batch in batches])
        _keep_waiting(row, readings, codes, ends.tolist())
    audit.record(
        row,
        verb="claim_readings",
        by=by,
        at=at,
        before={"state": WAITING},
        after={**audit.values(row, "state", "probe"), **counts(report)},
    )
    return row


@transaction.atomic
def discard_readings(
    *, unclaimed: UnclaimedReadings, reason: str, by: User | None, at: datetime
) -> UnclaimedReadings:
    """Throw away readings that came under an unknown code; this cannot be undone.

    Args:
        unclaimed: that waits.
        reason: why they are of no use.
        by: the person.
        at: now.

    Raises:
        UnclaimedError: it waits no more, or no reason is given.
    """
    if not reason.strip():
        raise UnclaimedError(
            "Say why these readings are of no use: they cannot be had again.",
            fields={"reason": "not blank"},
        )
    settle_one_at_a_time()
    said = {"state": UnclaimedState.DISCARDED.value, "reason": reason.strip()}
    row = _settled(unclaimed, said, by, at)
    row.batches.all().delete()
    audit.record(
        row,
        verb="discard_readings",
        by=by,
        at=at,
        before={"state": WAITING},
        after=audit.values(row, "state", "readings", "first_at", "last_at"),
        reason=row.reason,
    )
    return row


def _settled(
    unclaimed: UnclaimedReadings, said: dict[str, Any], by: User | None, at: datetime
) -> UnclaimedReadings:
    """Settle a row if nobody else was faster, and return it as it is now."""
    waiting = UnclaimedReadings.objects.filter(pk=unclaimed.pk, state=WAITING)
    if not waiting.update(**said, settled_by=by, settled_at=at):
        raise UnclaimedError(
            f"The readings of {unclaimed.code!r} do not wait any more: somebody has "
            "claimed or discarded them."
        )
    return UnclaimedReadings.objects.select_related("probe").get(pk=unclaimed.pk)


def _keep_waiting(
    row: UnclaimedReadings, readings: ReadingColumns, codes: Codes, ends: list[int]
) -> None:
    """Let what this probe cannot have wait on, batch by batch as it came."""
    parts = []
    for start, end in pairwise([0, *ends]):
        part = readings.take(slice(start, end)).take(codes[start:end] != 0)
        if len(part):
            parts.append(part)
    first, last = span_of(readings.take(codes != 0))
    rest = UnclaimedReadings.objects.create(
        code=row.code,
        first_at=first,
        last_at=last,
        arrived_at=row.arrived_at,
        last_arrived_at=row.last_arrived_at,
        sent_by=row.sent_by,
        sent_with=row.sent_with,
        readings=0,
    )
    made = [batch_of(rest, part, row.arrived_at) for part in parts]
    # Two batches may have become the same one.
    once = {batch.digest: batch for batch in made}
    UnclaimedBatch.objects.bulk_create(once.values())
    rest.readings = sum(batch.readings for batch in once.values())
    rest.save(update_fields=["readings"])


def _report(report: StoreReport) -> dict[str, Any]:
    return {
        **counts(report),
        "refusals": [f"{one.reason}." for one in report.refusals],
    }
