"""Where boxes stood and when, as the rules that follow eggs through boxes take it."""

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime

from clutches.models import BoxStay
from clutches.rules.forecasting.spells import Leg


def stays_of_boxes(box_ids: Collection[int]) -> dict[int, list[Leg]]:
    """Return by box in which incubators it stood, in order; one query."""
    found: dict[int, list[Leg]] = defaultdict(list)
    rows = BoxStay.objects.filter(box__in=box_ids).order_by("from_at")
    for box, incubator, from_at, until_at in rows.values_list(
        "box_id", "incubator_id", "from_at", "until_at"
    ):
        found[box].append(leg_of(incubator, from_at, until_at))
    return found


def leg_of(place: int, from_at: datetime, until_at: datetime | None) -> Leg:
    """Return a stay in a box or an incubator, in epoch seconds."""
    until_s = None if until_at is None else int(until_at.timestamp())
    return Leg(int(from_at.timestamp()), until_s, place)
