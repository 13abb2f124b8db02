"""All pairs of some females and males, the one with the least against it first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np

from clutches.rules.advice.judging import (
    CONVENTION,
    RELATED_FROM,
    age_days,
    judge_breeder,
    judge_season,
)
from clutches.rules.advice.values import AdvisedPair, Breeder, Judged, Reason
from clutches.rules.lineage.lineages import Flags, Floats, Int64s
from clutches.rules.vocabulary import AgainstPairing
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter

SAME = 10
"""Decimals to which two kinships are the same; further ones are rounding."""


@dataclass(frozen=True, slots=True)
class Kin:
    """How some females and males are related.

    Attributes:
        kinship: float64, females × males.
        female_means, male_means: float64, mean kinship of each to the collection.
        female_bounds, male_bounds: whether the figures of each are lower bounds.
    """

    kinship: Floats
    female_means: Floats
    male_means: Floats
    female_bounds: Flags
    male_bounds: Flags


@dataclass(frozen=True, slots=True)
class Advice:
    """Every pair in order; a pair is put together only when it is looked at.

    Attributes:
        order: places of pairs, female place × males + male place, the best first.
        unsaid: matters on which the profile says nothing, so that none was judged.
    """

    females: tuple[Breeder, ...]
    males: tuple[Breeder, ...]
    kin: Kin
    female_reasons: tuple[tuple[Reason, ...], ...]
    male_reasons: tuple[tuple[Reason, ...], ...]
    day_reasons: tuple[Reason, ...]
    order: Int64s
    unsaid: tuple[IncubationMatter, ...]
    on: date

    def __len__(self) -> int:
        """Return how many pairs there are."""
        return len(self.order)

    def pairs(self, start: int, stop: int) -> tuple[AdvisedPair, ...]:
        """Return the pairs of some ranks, from 0; beyond the last there are none."""
        return tuple(self._pair(int(place)) for place in self.order[start:stop])

    def _pair(self, place: int) -> AdvisedPair:
        f, m = divmod(place, len(self.males))
        female, male, kin = self.females[f], self.males[m], self.kin
        kinship = float(kin.kinship[f, m])
        female_age, male_age = (age_days(b.animal, on=self.on) for b in (female, male))
        return AdvisedPair(
            female=female,
            male=male,
            inbreeding=kinship,
            lower_bound=bool(kin.female_bounds[f] or kin.male_bounds[m]),
            mean_kinship=float(kin.female_means[f] + kin.male_means[m]) / 2,
            female_mean_kinship=float(kin.female_means[f]),
            male_mean_kinship=float(kin.male_means[m]),
            female_rest_days=_days_since(female.laid_on, self.on),
            female_age_days=female_age[0] if female_age else None,
            male_age_days=male_age[0] if male_age else None,
            reasons=(
                *_related(kinship),
                *self.female_reasons[f],
                *self.male_reasons[m],
                *self.day_reasons,
            ),
        )


def advise(
    females: Sequence[Breeder],
    males: Sequence[Breeder],
    *,
    kin: Kin,
    profile: Profile | None,
    on: date,
) -> Advice:
    """Return every pair of some females and males, the least against it first.

    Nothing is hidden: a pair with reasons against it stands below those with fewer.
    Among equals the lowest mean kinship comes first, then the lowest inbreeding,
    since in an experiment over generations pairing by mean kinship kept more gene
    diversity than avoiding inbreeding did.

    Args:
        females: in the order of `kin`; none gives no pairs.
        males: likewise.
        kin: how they are related.
        profile: the care profile in force on the day; None: none is published.
        on: the local day.

    Source:
        montgomery-1997 for the order; pairing-advice-convention for the reasons.
    """
    of_females, of_males = (
        [judge_breeder(one, profile=profile, on=on) for one in some]
        for some in (females, males)
    )
    counted = np.add.outer(_counts(of_females), _counts(of_males))
    counted += np.round(kin.kinship, SAME) >= float(RELATED_FROM)
    means = np.round(np.add.outer(kin.female_means, kin.male_means) / 2, SAME)
    order = np.lexsort(
        [np.round(kin.kinship, SAME).ravel(), means.ravel(), counted.ravel()]
    )
    unsaid = {matter for one in (*of_females, *of_males) for matter in one.unsaid}
    return Advice(
        females=tuple(females),
        males=tuple(males),
        kin=kin,
        female_reasons=tuple(one.reasons for one in of_females),
        male_reasons=tuple(one.reasons for one in of_males),
        day_reasons=judge_season(profile, on=on),
        order=order,
        unsaid=tuple(matter for matter in IncubationMatter if matter in unsaid),
        on=on,
    )


def _counts(judged: Sequence[Judged]) -> Int64s:
    return np.array([len(one.reasons) for one in judged], np.int64)


def _related(kinship: float) -> tuple[Reason, ...]:
    figure = Decimal(str(round(kinship, SAME)))
    if figure < RELATED_FROM:
        return ()
    return (
        Reason(
            AgainstPairing.RELATED,
            animal=None,
            figure=figure,
            limit=RELATED_FROM,
            provenance=CONVENTION,
        ),
    )


def _days_since(then: date | None, on: date) -> int | None:
    return None if then is None else (on - then).days
