"""Figures of one group: shares with intervals, spans, survival; what is open apart."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from statistics import median

from clutches.rules.figures.facts import (
    BreedingRows,
    EggRow,
    HatchlingRow,
)
from clutches.rules.statistics import (
    Course,
    Share,
    binomial_test,
    clopper_pearson,
    kaplan_meier,
    wilson,
)
from clutches.rules.vocabulary import EggState, FailureCause
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex

SURVIVAL_DAYS = (30, 60, 90)
EQUAL = 0.5
LEAST_SEXED = 5
"""Of fewer the test against as many of each says nothing, however they turn out."""
# A young was in it, whatever ended it.
SHOWN_FERTILE = frozenset({EggState.PIPPED, EggState.HATCHED})


@dataclass(frozen=True, slots=True)
class Span:
    """Some measures of one kind: how many, the middle one, the least and the most."""

    count: int
    median: float | None
    least: float | None
    most: float | None


@dataclass(frozen=True, slots=True)
class SexFigures:
    """Sexes of hatchlings.

    Attributes:
        female, male: confirmed or likely.
        confirmed: how many of these are confirmed.
        unclear: nobody looked, or the looks do not settle it.
        females: share of females among those of a known sex, exact interval.
        p: of the exact test against as many of each; None: fewer than five are known,
            or warmth decides the sex in one of the species.
    """

    female: int
    male: int
    confirmed: int
    unclear: int
    females: Share
    p: float | None

    @property
    def likely(self) -> int:
        """Return how many of those of a known sex are not confirmed."""
        return self.female + self.male - self.confirmed


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures of one group.

    Attributes:
        fertility: fertile among those eggs of which it is known, Wilson's interval.
        undecided: eggs of which nobody can say yet, or ever, whether they were fertile.
        hatch_rate: hatched among the eggs that have ended, Wilson's interval. While
            others still incubate it is too low: what fails mostly ends sooner.
        hatch_rate_fertile: the same among the eggs that were shown to be fertile.
        open: eggs that still incubate.
        days: from laying to hatching, by egg.
        mass_g: of hatchlings within three days of hatching.
        survival: from hatching; who was placed, got lost or lives counts as watched
            until then, and no longer.
        lost: hatchlings that got lost, told apart because nobody knows how they fare.
        undated: hatchlings without a hatch date, which are in no survival.
    """

    clutches: int
    eggs_set: int
    infertile_at_laying: int
    broken_at_laying: int
    born_alive: int
    born_dead: int
    fertility: Share
    undecided: int
    hatch_rate: Share
    hatch_rate_fertile: Share
    open: int
    days: Span
    hatchlings: int
    mass_g: Span
    survival: Course
    dead: int
    lost: int
    undated: int
    sexes: SexFigures

    @property
    def kept(self) -> int:
        """Return how many eggs are on record, ended or not."""
        return self.hatch_rate.of + self.open

    @property
    def at_most(self) -> int:
        """Return how many hatch if all that still incubate do."""
        return self.hatch_rate.count + self.open


def figures_of(rows: BreedingRows) -> Figures:
    """Count the figures of one group.

    Args:
        rows: all that belongs to it.

    Returns:
        Figures with their intervals. What is not known is counted apart and is part
        of no share.

    Source:
        wilson-1927, clopper-pearson-1934, r-binom-test, kaplan-meier-1958.
    """
    laid_on = {clutch.id: clutch.laid_on for clutch in rows.clutches}
    infertile = sum(clutch.infertile for clutch in rows.clutches)
    fertile = [egg for egg in rows.eggs if _is_fertile(egg)]
    later = sum(egg.cause is FailureCause.INFERTILE for egg in rows.eggs)
    hatched = [egg for egg in rows.eggs if egg.state is EggState.HATCHED]
    ended = [egg for egg in rows.eggs if egg.ended_on is not None]
    ended_fertile = [egg for egg in fertile if egg.ended_on is not None]
    return Figures(
        clutches=len(rows.clutches),
        eggs_set=sum(clutch.eggs_set for clutch in rows.clutches),
        infertile_at_laying=infertile,
        broken_at_laying=sum(clutch.broken for clutch in rows.clutches),
        born_alive=sum(clutch.born_alive for clutch in rows.clutches),
        born_dead=sum(clutch.born_dead for clutch in rows.clutches),
        fertility=wilson(len(fertile), len(fertile) + later + infertile),
        undecided=len(rows.eggs) - len(fertile) - later,
        hatch_rate=wilson(len(hatched), len(ended)),
        hatch_rate_fertile=wilson(len(hatched), len(ended_fertile)),
        open=len(rows.eggs) - len(ended),
        days=_span(_days(egg, laid_on[egg.clutch]) for egg in hatched),
        hatchlings=len(rows.hatchlings),
        mass_g=_span(h.mass_g for h in rows.hatchlings if h.mass_g is not None),
        survival=survival_of(rows.hatchlings),
        dead=_with(rows.hatchlings, AnimalStatus.DEAD),
        lost=_with(rows.hatchlings, AnimalStatus.LOST),
        undated=sum(young.watched_days is None for young in rows.hatchlings),
        sexes=_fairly(rows),
    )


def survival_of(hatchlings: Sequence[HatchlingRow]) -> Course:
    """Return how hatchlings survive, in days from hatching."""
    return kaplan_meier(*watched(hatchlings))


def watched(hatchlings: Iterable[HatchlingRow]) -> tuple[list[float], list[bool]]:
    """Return how long each hatchling was watched, in days, and whether it died then.

    Args:
        hatchlings: those without a hatch date are left out.
    """
    times: list[float] = []
    died = []
    for young in hatchlings:
        if young.watched_days is not None:
            times.append(float(young.watched_days))
            died.append(young.status is AnimalStatus.DEAD)
    return times, died


def sexes_of(hatchlings: Iterable[HatchlingRow]) -> SexFigures:
    """Count sexes, and say whether they differ from as many of each.

    Args:
        hatchlings: of any number of clutches. Where warmth decides the sex, as many
            of each is not what is to be expected.

    Source:
        clopper-pearson-1934, r-binom-test; the least number is a House rule.
    """
    young = list(hatchlings)
    known = [one for one in young if one.sex is not Sex.UNKNOWN]
    female = sum(one.sex is Sex.FEMALE for one in known)
    return SexFigures(
        female=female,
        male=len(known) - female,
        confirmed=sum(one.confidence is Confidence.CONFIRMED for one in known),
        unclear=len(young) - len(known),
        females=clopper_pearson(female, len(known)),
        p=binomial_test(female, len(known), expected=EQUAL)
        if len(known) >= LEAST_SEXED
        else None,
    )


def _fairly(rows: BreedingRows) -> SexFigures:
    """Count sexes, without a test where warmth decides the sex of any of them."""
    found = sexes_of(rows.hatchlings)
    by_warmth = {clutch.id for clutch in rows.clutches if clutch.by_warmth}
    if any(young.clutch in by_warmth for young in rows.hatchlings):
        return replace(found, p=None)
    return found


def _is_fertile(egg: EggRow) -> bool:
    """Say whether a young was ever seen in it; one called infertile had none."""
    if egg.cause is FailureCause.INFERTILE:
        return False
    return (
        egg.state in SHOWN_FERTILE
        or egg.vessels
        or egg.cause is FailureCause.DIED_IN_EGG
    )


def _days(egg: EggRow, laid_on: date) -> int:
    assert egg.ended_on is not None  # noqa: S101 - it hatched
    return (egg.ended_on - laid_on).days


def _with(hatchlings: Iterable[HatchlingRow], status: AnimalStatus) -> int:
    return sum(young.status is status for young in hatchlings)


def _span(values: Iterable[Decimal | int]) -> Span:
    found = sorted(float(value) for value in values)
    if not found:
        return Span(0, None, None, None)
    return Span(len(found), median(found), found[0], found[-1])
