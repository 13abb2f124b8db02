"""Which young animals are behind in growth, by a reference or by their mates.

Nothing is said of an animal that cannot be compared: too few mates are neither a
sign of health nor of illness, and no finding is made of them.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.assessments import Assessment
from husbandry.rules.growth import evidence
from husbandry.rules.growth.evidence import Weighed
from husbandry.rules.growth.families import UNKNOWN, Family, Kin, families_of
from husbandry.rules.growth.herds import WeighedHerd, weighed_herd
from husbandry.rules.growth.mates import MateComparison, score_rows
from husbandry.rules.growth.references import Lms, lms_at, z_score_with_tails
from husbandry.rules.growth.robust import trends_of
from husbandry.rules.profiles.values import (
    GrowthPolicy,
    GrowthReference,
    Provenance,
    Stage,
    WeighingRule,
    WeightPolicy,
)
from husbandry.rules.vocabulary import FindingKind, Sex, Urgency
from husbandry.rules.weights import WeighingPoint

# For how many days a weighing speaks for an animal whose profile has no rhythm.
CURRENT_DAYS = 14
# Over how many days the animal's own gain is told beside the comparison.
GAIN_DAYS = 28
# Beyond these decimals a score is noise of the arithmetic: at the limit counts.
SCORE_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class GrowingAnimal:
    """One animal, with what its profile says of it on the day.

    Attributes:
        hatched_on: None unless known to the day; then there is no age to compare.
        dam, sire: keys of its parents, or None.
        weighings: in any order.
        stage: its life stage, or None.
        weight_policy: names the stages in which animals are asked to grow.
        growth_policy: when an animal counts as behind; None: nothing is said.
        weighing: how often it is weighed, or None.
        reference: the profile's for its sex, or None: only mates are compared.
        judged: False for a mate that is only compared with, such as one that left.
    """

    id: int
    label: str
    sex: Sex
    hatched_on: date | None
    dam: int | None
    sire: int | None
    weighings: tuple[WeighingPoint, ...]
    stage: Stage | None = None
    weight_policy: WeightPolicy | None = None
    growth_policy: GrowthPolicy | None = None
    weighing: WeighingRule | None = None
    reference: GrowthReference | None = None
    judged: bool = True


@dataclass(frozen=True, slots=True)
class _Herd:
    """Animals, their weighings side by side, and whom they come from."""

    animals: Sequence[GrowingAnimal]
    weighed: WeighedHerd
    kin: Kin

    def weighing(self, animal: int, place: int) -> Weighed:
        """Return one weighing of an animal, with its age on that day."""
        return evidence.weighed(
            self.weighed,
            place,
            label=self.animals[animal].label,
            hatched=int(self.kin.hatched[animal]),
        )


@dataclass(frozen=True, slots=True)
class _Asked:
    """An animal that is judged: its place in the herd, and what it weighed last."""

    place: int
    animal: GrowingAnimal
    policy: GrowthPolicy
    last: Weighed


def assess_growth(
    animals: Sequence[GrowingAnimal], *, on: date, zone: ZoneInfo
) -> tuple[Assessment, ...]:
    """Say which young animals are behind in growth at the end of a local day.

    Judged are animals in a stage in which they are asked to grow, whose last
    weighing is no older than their profile's limit for an overdue one (14 days
    where it has none). Where the profile carries a reference for the animal's sex
    and age, that decides; elsewhere its clutch-mates do, if there are enough.

    Args:
        animals: all of a site, and clutch-mates elsewhere to compare with.
        on: the local day.
        zone: whose local days count.

    Returns:
        At most one assessment an animal, in the order given; a score exactly at the
        policy's limit counts as behind. Each carries the numbers that made it and
        the animal's own gain over 28 days.

    Source:
        mates-convention, cole-green-1992, who-growth-2006; from which score on an
        animal is behind is the policy's convention.
    """
    weighed = weighed_herd([a.weighings for a in animals], on=on, zone=zone)
    herd = _Herd(animals, weighed, _kin(animals))
    found: dict[int, Assessment | None] = {}
    to_compare: dict[GrowthPolicy, dict[int, _Asked]] = defaultdict(dict)
    for asked in _asked(herd, on):
        reference = asked.animal.reference
        lms = lms_at(reference, age_days=asked.last.age_days) if reference else None
        if reference is None or lms is None:
            to_compare[asked.policy][asked.place] = asked
        else:
            found[asked.place] = _by_reference(asked, reference, lms)
    for policy, some in to_compare.items():
        found |= _by_mates(herd, some, policy)
    return _with_gains(weighed, {k: v for k, v in sorted(found.items()) if v})


def _kin(animals: Sequence[GrowingAnimal]) -> Kin:
    return Kin(
        dam=_keys(a.dam for a in animals),
        sire=_keys(a.sire for a in animals),
        hatched=_keys(
            a.hatched_on.toordinal() if a.hatched_on else None for a in animals
        ),
    )


def _keys(keys: Iterable[int | None]) -> NDArray[np.int64]:
    return np.array([UNKNOWN if key is None else key for key in keys], np.int64)


def _asked(herd: _Herd, on: date) -> Iterator[_Asked]:
    begins, ends = herd.weighed.starts[:-1].tolist(), herd.weighed.starts[1:].tolist()
    for place, animal in enumerate(herd.animals):
        policy = animal.growth_policy
        if policy is None or begins[place] == ends[place] or not _is_to_grow(animal):
            continue
        last = herd.weighing(place, ends[place] - 1)
        rule = animal.weighing
        limit_days = rule.overdue_after_days if rule else CURRENT_DAYS
        if last.age_days >= 0 and (on - last.on).days <= limit_days:
            yield _Asked(place, animal, policy, last)


def _is_to_grow(animal: GrowingAnimal) -> bool:
    weights, stage = animal.weight_policy, animal.stage
    if weights is None or stage is None or animal.hatched_on is None:
        return False
    return animal.judged and stage.code in weights.stall_stages


def _by_reference(
    asked: _Asked, reference: GrowthReference, lms: Lms
) -> Assessment | None:
    z = z_score_with_tails(float(asked.last.mass_g), lms)
    if z is None or round(z, SCORE_DECIMALS) > asked.policy.behind_z:
        return None
    facts = evidence.by_reference(asked.last, reference, asked.policy, z)
    return _behind(asked, facts, reference.id, reference.provenance)


def _by_mates(
    herd: _Herd, some: dict[int, _Asked], policy: GrowthPolicy
) -> dict[int, Assessment | None]:
    found: dict[int, Assessment | None] = {}
    places = np.array(list(some), np.int64)
    for family in families_of(
        herd.weighed, herd.kin, places, within_days=policy.mates_within_days
    ):
        for row, comparison in _far_below(herd.weighed, family, policy):
            asked = some[int(family.asked[row])]
            mates = _weighed_mates(herd, family, row)
            facts = evidence.by_mates(asked.last, mates, comparison, policy)
            found[asked.place] = _behind(asked, facts, "", policy.provenance)
    return found


def _far_below(
    weighed: WeighedHerd, family: Family, policy: GrowthPolicy
) -> Iterator[tuple[int, MateComparison]]:
    """Yield the rows of a family that are behind their mates."""
    mass_g = weighed.mass_g[weighed.starts[family.asked + 1] - 1]
    known = family.weighings != UNKNOWN
    mates_g = np.where(known, weighed.mass_g[family.weighings], np.nan)
    many = score_rows(mass_g, mates_g)
    low = np.round(many.score, SCORE_DECIMALS) <= -float(policy.behind_mads)
    for row in np.flatnonzero(low & (many.mates >= policy.mates_least)).tolist():
        yield row, many.of(row)


def _weighed_mates(herd: _Herd, family: Family, row: int) -> tuple[Weighed, ...]:
    weighings = family.weighings[row]
    return tuple(
        herd.weighing(int(family.members[mate]), int(weighings[mate]))
        for mate in np.flatnonzero(weighings != UNKNOWN).tolist()
    )


def _behind(
    asked: _Asked, facts: dict[str, Any], rule_id: str, provenance: Provenance
) -> Assessment:
    return Assessment(
        kind=FindingKind.GROWTH_BEHIND,
        urgency=Urgency.WATCH,
        facts=facts,
        rule_id=rule_id,
        provenance=provenance,
        animal=asked.animal.id,
    )


def _with_gains(
    weighed: WeighedHerd, found: dict[int, Assessment]
) -> tuple[Assessment, ...]:
    """Tell each animal's own gain beside what was found of it."""
    some = weighed.only(np.array(list(found), np.int64))
    trends = trends_of(some, window_days=GAIN_DAYS)
    return tuple(
        replace(
            assessment,
            facts=assessment.facts
            | evidence.gain(trends.of(row), window_days=GAIN_DAYS),
        )
        for row, assessment in enumerate(found.values())
    )
