"""What is on record of one animal's growth, and of its clutch-mates'."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

from husbandry.rules.growth.condition import LengthPoint
from husbandry.rules.vocabulary import Sex
from husbandry.rules.weights import GravidSpell, WeighingPoint


@dataclass(frozen=True, slots=True)
class Recorded:
    """One animal and its weighings.

    Attributes:
        label: the animal, as people say it.
        hatched_on: None unless known to the day.
        hatched_about: as near as it is known, or None; it chooses the life stage.
        dam, sire: keys of its parents, or None.
        in_care: False for one that left or died.
        weighings: in force, in any order.
    """

    id: int
    code: str
    label: str
    sex: Sex
    hatched_on: date | None
    hatched_about: date | None
    dam: int | None
    sire: int | None
    arrived_on: date
    in_care: bool
    weighings: tuple[WeighingPoint, ...]


@dataclass(frozen=True, slots=True)
class GrowthRecord:
    """All that is on record about the growth of one animal.

    Attributes:
        mates: of the same dam and hatched within the policy's days; which of them
            may have another sire is for the comparison to say.
        lengths: from snout to vent, in order.
        gravid: its gravid spells, in order.
        laid_on: local days on which a laying was finished.
        shed_on: local days on which it shed.
    """

    animal: Recorded
    mates: tuple[Recorded, ...] = ()
    lengths: tuple[LengthPoint, ...] = ()
    gravid: tuple[GravidSpell, ...] = ()
    laid_on: tuple[date, ...] = ()
    shed_on: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Aged:
    """One weighing, with the local day and the age on it.

    Attributes:
        age_days: None where the day of hatching is not known.
    """

    id: int
    on: date
    age_days: int | None
    mass_g: Decimal


def aged(animal: Recorded, *, on: date, zone: ZoneInfo) -> tuple[Aged, ...]:
    """Return an animal's weighings up to a local day with its ages, oldest first.

    Args:
        animal: its weighings in force.
        on: the local day; later weighings are left out.
        zone: whose local days count.
    """
    found = []
    for point in sorted(animal.weighings, key=lambda p: (p.at, p.id)):
        day = point.at.astimezone(zone).date()
        if day <= on:
            age = (day - animal.hatched_on).days if animal.hatched_on else None
            found.append(Aged(point.id, day, age, point.mass_g))
    return tuple(found)
