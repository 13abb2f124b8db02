"""All figures of one group of animals over one period."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean, median

from clutches.rules.statistics import Course, Share, kaplan_meier, wilson
from placements.rules.figures.census import CensusDay, animal_days, census
from placements.rules.figures.facts import After, Charge, Period
from placements.rules.figures.rates import (
    Rate,
    capacity_needed,
    daily_rate,
    days_stayed,
    length_of_stay,
    live_release_by_accord,
    live_release_by_intake,
)
from placements.rules.figures.stages import StageFigures, stage_figures
from placements.rules.vocabulary import IntakeCondition, PlacementKind, RegisterHow

# An animal that was placed without anybody saying how has left alive.
LIVE = frozenset(
    {
        RegisterHow.ADOPTION,
        RegisterHow.SALE,
        RegisterHow.TRANSFER,
        RegisterHow.RELEASE,
        RegisterHow.NOT_SAID,
    }
)
LASTING = frozenset(
    {PlacementKind.ADOPTION, PlacementKind.SALE, PlacementKind.TRANSFER}
)


@dataclass(frozen=True, slots=True)
class ReleaseRates:
    """How many of those that left did so alive, by both published formulas.

    Attributes:
        live: outcomes by which an animal left alive.
        asleep: put to sleep.
        died, lost: in care; the accord counts neither.
        asked_at_most: put to sleep, surrendered by an owner and not treatable when
            they came. Whether the owner asked for it is not on record.
        by_accord: with none of these taken out.
        by_accord_at_most: with all of these taken out; the truth lies between.
        of_all: live ones among all outcomes, deaths and losses too; no published
            formula, but nothing is left out of it.
        by_intake: can be more than 1; None: none came.
    """

    live: int
    asleep: int
    died: int
    lost: int
    asked_at_most: int
    by_accord: Share
    by_accord_at_most: Share
    of_all: Share
    by_intake: float | None


@dataclass(frozen=True, slots=True)
class StayFigures:
    """How long animals stay.

    Attributes:
        animal_days: of all in charge within the period.
        exits: how many left in it.
        days: animal-days by exits; None: none left.
        left_mean, left_median: of those that left in it, each from its own intake;
            None: none left. Those that stay are not in it, so it is too short.
        course: from coming on, of those that came in the period; who is still in
            charge counts for as long as it has been. Whatever ended it counts.
    """

    animal_days: int
    exits: int
    days: float | None
    left_mean: float | None
    left_median: float | None
    course: Course


@dataclass(frozen=True, slots=True)
class Capacity:
    """How many animals there are at a time.

    Attributes:
        intake_a_day: how many came.
        needed: as many as come a day, times how long they stay; None: none left.
        mean: as counted day by day.
        most: on the fullest day.
    """

    intake_a_day: Rate
    needed: float | None
    mean: float
    most: int


@dataclass(frozen=True, slots=True)
class Returns:
    """How many of those that went to a home for good came back.

    Attributes:
        share: up to today. Those that went lately have had less time to.
        course: how long they stay in their home, with those that are still there
            counted for as long as that is known.
    """

    share: Share
    course: Course


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures of one group over one period."""

    period: Period
    intakes: Mapping[RegisterHow, int]
    outcomes: Mapping[RegisterHow, int]
    census: tuple[CensusDay, ...]
    rates: ReleaseRates
    stay: StayFigures
    capacity: Capacity
    returns: Returns
    stages: tuple[StageFigures, ...]


def figures_of(charges: Iterable[Charge], *, period: Period, on: date) -> Figures:
    """Count the figures of one group over one period.

    Args:
        charges: set right, of any time.
        period: not beyond today.
        on: today.

    Source:
        asilomar-2004, live-release-by-intake, length-of-stay, capacity-for-care,
        kaplan-meier-1958, wilson-1927, garwood-1936.
    """
    charges = list(charges)
    came = [c for c in charges if period.holds(c.began_on)]
    left = [c for c in charges if period.holds(c.ended_on)]
    days = census(charges, period=period, on=on)
    stay = _stay(charges, came, left, period, on)
    return Figures(
        period=period,
        intakes=_counted(c.came for c in came),
        outcomes=_counted(c.outcome for c in left if c.outcome is not None),
        census=days,
        rates=_rates(came, left),
        stay=stay,
        capacity=_capacity(len(came), stay, days, period),
        returns=_returns(left),
        stages=stage_figures(charges, period=period, on=on),
    )


def _counted(hows: Iterable[RegisterHow]) -> Mapping[RegisterHow, int]:
    found = Counter(hows)
    return {how: found[how] for how in RegisterHow if found[how]}


def _rates(came: Sequence[Charge], left: Sequence[Charge]) -> ReleaseRates:
    live = sum(c.outcome in LIVE for c in left)
    asleep = [c for c in left if c.outcome is RegisterHow.PUT_TO_SLEEP]
    asked = sum(_may_have_been_asked_for(c) for c in asleep)
    counted = live + len(asleep)
    return ReleaseRates(
        live=live,
        asleep=len(asleep),
        died=sum(c.outcome is RegisterHow.DEATH for c in left),
        lost=sum(c.outcome is RegisterHow.LOSS for c in left),
        asked_at_most=asked,
        by_accord=live_release_by_accord(live=live, outcomes=counted, asked=0),
        by_accord_at_most=live_release_by_accord(
            live=live, outcomes=counted, asked=asked
        ),
        of_all=wilson(live, len(left)),
        by_intake=live_release_by_intake(live=live, intake=len(came)),
    )


def _may_have_been_asked_for(charge: Charge) -> bool:
    by_owner = charge.came is RegisterHow.SURRENDER
    return by_owner and charge.condition is IntakeCondition.UNTREATABLE


def _stay(
    charges: Sequence[Charge],
    came: Sequence[Charge],
    left: Sequence[Charge],
    period: Period,
    on: date,
) -> StayFigures:
    total = animal_days(charges, period=period, on=on)
    stayed = [
        days_stayed(c.began_on.toordinal(), c.ended_on.toordinal())
        for c in left
        if c.ended_on is not None
    ]
    return StayFigures(
        animal_days=total,
        exits=len(left),
        days=length_of_stay(animal_days=total, exits=len(left)),
        left_mean=fmean(stayed) if stayed else None,
        left_median=float(median(stayed)) if stayed else None,
        course=kaplan_meier(
            [float((c.until(on) - c.began_on).days) for c in came],
            [c.ended_on is not None for c in came],
        ),
    )


def _capacity(
    came: int, stay: StayFigures, days: Sequence[CensusDay], period: Period
) -> Capacity:
    rate = daily_rate(came, period.days)
    needed = None
    if stay.days is not None:
        needed = capacity_needed(intake_a_day=rate.value, days=stay.days)
    return Capacity(
        intake_a_day=rate,
        needed=needed,
        mean=fmean(day.charges for day in days),
        most=max(day.charges for day in days),
    )


def _returns(left: Sequence[Charge]) -> Returns:
    gone = [(c, c.after) for c in left if c.after and c.after.kind in LASTING]
    back = [after.back_on is not None for _, after in gone]
    times = [_days_there(c, after) for c, after in gone]
    return Returns(wilson(sum(back), len(back)), kaplan_meier(times, back))


def _days_there(charge: Charge, after: After) -> float:
    assert charge.ended_on is not None  # noqa: S101 - it left
    return float(max((after.watched_until - charge.ended_on).days, 0))
