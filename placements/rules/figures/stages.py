"""How long animals are in quarantine, ready, planned to leave, and away."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from clutches.rules.statistics import Course, kaplan_meier
from placements.rules.figures.census import overlap_days
from placements.rules.figures.facts import Charge, DaySpan, Period, StayStage


@dataclass(frozen=True, slots=True)
class Run:
    """Days one after another in one stage.

    Attributes:
        until_on: the day after the last one.
        ended: another stage came after it, or the animal left.
    """

    stage: StayStage
    first_on: date
    until_on: date
    ended: bool


@dataclass(frozen=True, slots=True)
class StageFigures:
    """One stage of all animals.

    Attributes:
        animal_days: within the period.
        course: how long the runs lasted that began in the period; those that have not
            ended count for as long as they have lasted.
    """

    stage: StayStage
    animal_days: int
    course: Course


def runs_of(charge: Charge, *, on: date) -> Iterator[Run]:
    """Cut one time in charge into its stages, day by day.

    Of a day that belongs to several, away goes first, then quarantine, then planned;
    what is left is ready. A plan that was called off leaves no trace here: on which
    day it was, only the audit trail knows.

    Args:
        charge: set right.
        on: today.

    Source:
        figure-conventions.
    """
    end_on = charge.until(on)
    days = [StayStage.READY] * (end_on - charge.began_on).days
    for stage, spans in (
        (StayStage.PLANNED, charge.planned),
        (StayStage.QUARANTINE, charge.quarantines),
        (StayStage.AWAY, charge.away),
    ):
        _fill(days, stage, spans, charge.began_on)
    at = 0
    for stage, run in groupby(days):
        length = len(list(run))
        first_on = charge.began_on + timedelta(days=at)
        at += length
        yield Run(
            stage,
            first_on,
            first_on + timedelta(days=length),
            ended=at < len(days) or charge.ended_on is not None,
        )


def _fill(
    days: list[StayStage], stage: StayStage, spans: Sequence[DaySpan], began_on: date
) -> None:
    for span in spans:
        first = max((span.first_on - began_on).days, 0)
        until = len(days) if span.until_on is None else (span.until_on - began_on).days
        until = min(max(until, first), len(days))
        days[first:until] = [stage] * (until - first)


def stage_figures(
    charges: Iterable[Charge], *, period: Period, on: date
) -> tuple[StageFigures, ...]:
    """Return how long animals were in each stage.

    Args:
        charges: set right.
        period: not beyond today.
        on: today.

    Source:
        kaplan-meier-1958.
    """
    runs = [run for charge in charges for run in runs_of(charge, on=on)]
    return tuple(
        _figures(stage, [run for run in runs if run.stage is stage], period)
        for stage in StayStage
    )


def _figures(stage: StayStage, runs: Sequence[Run], period: Period) -> StageFigures:
    begun = [run for run in runs if period.holds(run.first_on)]
    return StageFigures(
        stage,
        sum(overlap_days(run.first_on, run.until_on, period) for run in runs),
        kaplan_meier(
            [float((run.until_on - run.first_on).days) for run in begun],
            [run.ended for run in begun],
        ),
    )
