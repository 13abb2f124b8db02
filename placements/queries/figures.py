"""Times in an organisation's charge that figures are counted from."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from core.models import Site
from husbandry.models import Quarantine
from placements.models import Placement
from placements.queries.movements import animal_records
from placements.rules.figures.charges import Kept, charges_of
from placements.rules.figures.facts import ONE_DAY, Charge, DaySpan, LeftOut
from placements.rules.vocabulary import PlacementState


@dataclass(frozen=True, slots=True)
class ChargeRows:
    """What figures are counted from, and what they leave out.

    Attributes:
        left_out: by the code of the animal, then by day.
    """

    charges: tuple[Charge, ...]
    left_out: tuple[LeftOut, ...]


def latest_day(at: datetime) -> date:
    """Return the latest local day that has begun at a site; one query.

    Args:
        at: now. Without a site, its day by UTC.
    """
    zones = set(Site.objects.values_list("time_zone", flat=True)) or {"UTC"}
    return max(at.astimezone(ZoneInfo(zone)).date() for zone in zones)


def charge_rows(*, species: str, on: date) -> ChargeRows:
    """Return all times in charge, set right, and the records left out; eight queries.

    Args:
        species: code; "": of all.
        on: today; what lies after it is left out.
    """
    quarantines = _quarantines()
    planned = _planned_since()
    charges: list[Charge] = []
    left_out: list[LeftOut] = []
    for record in animal_records():
        if species and record.species != species:
            continue
        kept = Kept(tuple(quarantines[record.id]), planned.get(record.id))
        found, out = charges_of(record, kept=kept, on=on)
        charges += found
        left_out += out
    left_out.sort(key=lambda one: (one.code, one.first_on))
    return ChargeRows(tuple(charges), tuple(left_out))


def _quarantines() -> Mapping[int, list[DaySpan]]:
    found: dict[int, list[DaySpan]] = defaultdict(list)
    rows = Quarantine.objects.order_by("animal", "began_on", "pk")
    for animal, began_on, ended_on in rows.values_list(
        "animal_id", "began_on", "ended_on"
    ):
        # Its last day is still one of it.
        until_on = None if ended_on is None else ended_on + ONE_DAY
        found[animal].append(DaySpan(began_on, until_on))
    return found


def _planned_since() -> Mapping[int, date]:
    """Return since when a placement is planned, of those that still are."""
    rows = Placement.objects.filter(state=PlacementState.PLANNED.value)
    return {
        animal: created_at.astimezone(UTC).date()
        for animal, created_at in rows.values_list("animal_id", "created_at")
    }
