"""Take in a sent batch whole: store what is of known probes, keep the rest."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from core.models import User
from husbandry.actions.parked_readings import (
    NOTHING_PARKED,
    ParkedReport,
    park_readings,
)
from husbandry.actions.readings import store_readings
from husbandry.rules.reading_reports import StoreReport
from husbandry.rules.readings import ReadingColumns
from husbandry.rules.unclaimed import UnclaimedColumns


@dataclass(frozen=True, slots=True)
class TakenReadings:
    """What became of a batch: of what is of known probes, and of the rest."""

    stored: StoreReport
    parked: ParkedReport


def take_readings(
    *,
    columns: ReadingColumns,
    unclaimed: UnclaimedColumns,
    by: User | None,
    token_name: str,
    at: datetime,
) -> TakenReadings:
    """Store the readings of known probes, keep those under unknown codes.

    Safe to send again. Either all of it is done, or nothing.

    Args:
        columns: of known probes; see `store_readings`.
        unclaimed: under codes that nobody knows; see `park_readings`.
        by: whose batch it is.
        token_name: of the token that it came with; "" where it is not known.
        at: when it came in.

    Raises:
        ReadingsBusyError: see `store_readings`; nothing was stored nor kept.

    Source:
        ADR 0003 and ADR 0019.
    """
    if not len(unclaimed):
        stored = store_readings(columns=columns, by=by, at=at)
        return TakenReadings(stored, NOTHING_PARKED)
    with transaction.atomic():
        # In this order always; see `settle_one_at_a_time`.
        parked = park_readings(unclaimed=unclaimed, by=by, token_name=token_name, at=at)
        stored = store_readings(columns=columns, by=by, at=at)
    return TakenReadings(stored, parked)
