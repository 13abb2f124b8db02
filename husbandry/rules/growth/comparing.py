"""One animal beside a published reference, and beside its clutch-mates.

The night asks which animals are behind; this tells of any one animal how it lies,
and what keeps it from being compared.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

import numpy as np

from husbandry.rules.growth.families import UNKNOWN, Kin, families_of
from husbandry.rules.growth.herds import WeighedHerd, weighed_herd
from husbandry.rules.growth.mates import MateComparison, compare_with_mates
from husbandry.rules.growth.recorded import Aged, Recorded
from husbandry.rules.growth.references import (
    centile,
    is_unlikely,
    lms_at,
    z_score_with_tails,
)
from husbandry.rules.profiles.values import GrowthPolicy, GrowthReference


class NotCompared(StrEnum):
    """What keeps an animal from being compared with its clutch-mates."""

    NEVER_WEIGHED = "never_weighed"
    AGE_NOT_KNOWN = "age_not_known"
    DAM_NOT_KNOWN = "dam_not_known"
    NO_POLICY = "no_policy"
    TOO_FEW_MATES = "too_few_mates"


@dataclass(frozen=True, slots=True)
class MateAtAge:
    """What one clutch-mate weighed at the animal's age."""

    mate: Recorded
    weighed: Aged


@dataclass(frozen=True, slots=True)
class AmongMates:
    """How the last weighing lies among those of its clutch-mates at the same age.

    Attributes:
        on_record: how many clutch-mates are on record, weighed at that age or not.
        mates: those weighed at that age, give or take the policy's days.
        policy: which mates count, and how many are needed; None: no profile says.
        found: the comparison; None where `why_not` says why.
    """

    on_record: int
    mates: tuple[MateAtAge, ...]
    policy: GrowthPolicy | None
    found: MateComparison | None
    why_not: NotCompared | None


@dataclass(frozen=True, slots=True)
class ByReference:
    """Where the last weighing lies in a published reference.

    Attributes:
        centile: per cent of animals of its age that weigh less, 0 to 100.
        unlikely: so far out that scale and day of hatching should be checked first.
    """

    reference: GrowthReference
    z: float
    centile: float
    unlikely: bool


def by_reference(
    last: Aged | None, reference: GrowthReference | None
) -> ByReference | None:
    """Say where a weighing lies in a reference; None where that does not cover it.

    Args:
        last: the weighing, or None.
        reference: the profile's for the animal's sex, or None.

    Source:
        cole-green-1992, who-growth-2006.
    """
    if last is None or last.age_days is None or reference is None:
        return None
    lms = lms_at(reference, age_days=last.age_days)
    z = z_score_with_tails(float(last.mass_g), lms) if lms else None
    if z is None:
        return None
    return ByReference(reference, z, centile(z), is_unlikely(z))


def clutch_mates(
    animal: Recorded, others: Sequence[Recorded], policy: GrowthPolicy | None
) -> tuple[Recorded, ...]:
    """Return those that count as an animal's clutch-mates.

    Args:
        animal: whose; without a known dam or day of hatching it has none.
        others: of the same species; itself is passed over.
        policy: within how many days mates hatched; None: nobody counts.

    Source:
        mates-convention.
    """
    if policy is None or animal.dam is None or animal.hatched_on is None:
        return ()
    return tuple(
        other
        for other in others
        if other.id != animal.id
        and other.dam == animal.dam
        and (other.sire == animal.sire or None in (other.sire, animal.sire))
        and other.hatched_on is not None
        and abs((other.hatched_on - animal.hatched_on).days) <= policy.mates_within_days
    )


def among_mates(
    animal: Recorded,
    mates: Sequence[Recorded],
    *,
    policy: GrowthPolicy | None,
    on: date,
    zone: ZoneInfo,
) -> AmongMates:
    """Compare an animal's last weighing with its clutch-mates' at the same age.

    Args:
        animal: with its weighings.
        mates: its clutch-mates, those that left too.
        policy: of its care profile; None: there is nothing to compare by.
        on: the local day; later weighings are left out.
        zone: whose local days count.

    Source:
        mates-convention.
    """
    if policy is None:
        return AmongMates(len(mates), (), None, None, NotCompared.NO_POLICY)
    herd = weighed_herd([a.weighings for a in (animal, *mates)], on=on, zone=zone)
    why_not = _hindrance(animal, herd)
    if why_not is not None:
        return AmongMates(len(mates), (), policy, None, why_not)
    beside = _at_its_age(herd, (animal, *mates), policy)
    found = compare_with_mates(
        herd.points[int(herd.starts[1]) - 1].mass_g,
        [m.weighed.mass_g for m in beside],
        least=policy.mates_least,
    )
    if found.median_g is None:
        return AmongMates(len(mates), beside, policy, None, NotCompared.TOO_FEW_MATES)
    return AmongMates(len(mates), beside, policy, found, None)


def _hindrance(animal: Recorded, herd: WeighedHerd) -> NotCompared | None:
    if not herd.counts[0]:
        return NotCompared.NEVER_WEIGHED
    if animal.hatched_on is None:
        return NotCompared.AGE_NOT_KNOWN
    return NotCompared.DAM_NOT_KNOWN if animal.dam is None else None


def _at_its_age(
    herd: WeighedHerd, animals: Sequence[Recorded], policy: GrowthPolicy
) -> tuple[MateAtAge, ...]:
    kin = Kin(
        dam=np.array([_key(a.dam) for a in animals], np.int64),
        sire=np.array([_key(a.sire) for a in animals], np.int64),
        hatched=np.array(
            [a.hatched_on.toordinal() if a.hatched_on else UNKNOWN for a in animals],
            np.int64,
        ),
    )
    first = np.array([0], np.int64)
    return tuple(
        MateAtAge(animals[member], _weighed(herd, place, int(kin.hatched[member])))
        for family in families_of(
            herd, kin, first, within_days=policy.mates_within_days
        )
        for member, place in zip(
            family.members.tolist(), family.weighings[0].tolist(), strict=True
        )
        if place != UNKNOWN
    )


def _key(parent: int | None) -> int:
    return UNKNOWN if parent is None else parent


def _weighed(herd: WeighedHerd, place: int, hatched: int) -> Aged:
    point, day = herd.points[place], int(herd.day[place])
    return Aged(point.id, date.fromordinal(day), day - hatched, point.mass_g)
