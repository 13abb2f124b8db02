"""What figures of intakes and outcomes look like."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.breeding_figures import ShareOut
from api.structs import Out, from_row
from clutches.rules.statistics import Course
from placements.rules.figures.counting import Figures
from placements.rules.figures.facts import LeftOutWhy, StayStage
from placements.rules.figures.grouping import FiguresBy
from placements.rules.vocabulary import RegisterHow

STAY_DAYS = (30, 90, 180, 365)
SHARED = Meta(description="0 to 1; null: nobody was watched for so long.")


class CountOut(Out, frozen=True):
    """How many came or left in one way."""

    how: RegisterHow
    count: int


class LastingOut(Out, frozen=True):
    """The share that stays longer than so many days."""

    days: int
    watched: Annotated[int, Meta(description="How many were watched for so long.")]
    share: Annotated[float | None, SHARED]
    low: float | None
    high: float | None


class CourseOut(Out, frozen=True):
    """How long it lasts, by Kaplan and Meier: who is not through yet is censored."""

    watched: int
    ended: int
    median_days: Annotated[
        float | None, Meta(description="Null: fewer than half are through.")
    ]
    lasting: tuple[LastingOut, ...]


class RatesOut(Out, frozen=True):
    """How many of those that left did so alive."""

    live: int
    put_to_sleep: int
    died: Annotated[int, Meta(description="In care; the accords count them not.")]
    lost: Annotated[int, Meta(description="In care; the accords count them not.")]
    asilomar_accords_2004: Annotated[
        ShareOut,
        Meta(
            description="Live outcomes by live ones and those put to sleep, none of "
            "which is taken for one that its owner asked for."
        ),
    ]
    asked_at_most: Annotated[
        int,
        Meta(
            description="Put to sleep, surrendered, and not treatable when they came. "
            "Whether the owner asked for it is not on record."
        ),
    ]
    asilomar_accords_2004_at_most: Annotated[
        ShareOut, Meta(description="With all of these taken out, as the accords do.")
    ]
    live_by_intake: Annotated[
        float | None,
        Meta(description="Live outcomes by intake; can be more than 1, no share."),
    ]
    live_by_all_outcomes: Annotated[
        ShareOut, Meta(description="Deaths and losses counted too; not published.")
    ]


class TimeInCareOut(Out, frozen=True):
    """How long animals stay."""

    animal_days: int
    exits: int
    days: Annotated[
        float | None, Meta(description="Animal-days by exits; null: none left.")
    ]
    left_mean_days: Annotated[
        float | None, Meta(description="Of those that left; too short, as others stay.")
    ]
    left_median_days: float | None
    course: Annotated[CourseOut, Meta(description="Of those that came in the period.")]


class CapacityOut(Out, frozen=True):
    """How many animals there are at a time."""

    intake_a_day: float
    intake_a_day_low: float
    intake_a_day_high: float
    needed: Annotated[
        float | None, Meta(description="Intake a day times length of stay.")
    ]
    mean: Annotated[float, Meta(description="As counted day by day.")]
    most: int


class ReturnsOut(Out, frozen=True):
    """How many that went to a home for good came back."""

    share: ShareOut
    course: Annotated[CourseOut, Meta(description="How long they stay in their home.")]


class StageOut(Out, frozen=True):
    """Time in one stage."""

    stage: StayStage
    animal_days: int
    course: CourseOut


class PlacementFiguresOut(Out, frozen=True):
    """Figures of one group over one period."""

    group: str
    first_on: date
    last_on: date
    intakes: tuple[CountOut, ...]
    outcomes: tuple[CountOut, ...]
    census_first: Annotated[int, Meta(description="In charge on the first day.")]
    census_last: int
    away_last: Annotated[
        int, Meta(description="Of these on a foster stay or a loan, which end nothing.")
    ]
    rates: RatesOut
    stay: TimeInCareOut
    capacity: CapacityOut
    returns: ReturnsOut
    stages: tuple[StageOut, ...]


class NotCountedOut(Out, frozen=True):
    """A record that no figure counts."""

    animal: Annotated[str, Meta(description="Its code.")]
    first_on: date
    last_on: date | None
    why: LeftOutWhy


class AllPlacementFiguresOut(Out, frozen=True):
    """Figures of all groups, and what was left out."""

    by: FiguresBy
    groups: tuple[PlacementFiguresOut, ...]
    left_out: tuple[NotCountedOut, ...]


def figures_out(name: str, found: Figures) -> PlacementFiguresOut:
    """Return the figures of one group as they are answered."""
    rates, stay, capacity = found.rates, found.stay, found.capacity
    intake = capacity.intake_a_day
    return PlacementFiguresOut(
        group=name,
        first_on=found.period.first_on,
        last_on=found.period.last_on,
        intakes=tuple(CountOut(how=h, count=n) for h, n in found.intakes.items()),
        outcomes=tuple(CountOut(how=h, count=n) for h, n in found.outcomes.items()),
        census_first=found.census[0].charges,
        census_last=found.census[-1].charges,
        away_last=found.census[-1].away,
        rates=RatesOut(
            live=rates.live,
            put_to_sleep=rates.asleep,
            died=rates.died,
            lost=rates.lost,
            asilomar_accords_2004=from_row(rates.by_accord, ShareOut),
            asked_at_most=rates.asked_at_most,
            asilomar_accords_2004_at_most=from_row(rates.by_accord_at_most, ShareOut),
            live_by_intake=rates.by_intake,
            live_by_all_outcomes=from_row(rates.of_all, ShareOut),
        ),
        stay=TimeInCareOut(
            animal_days=stay.animal_days,
            exits=stay.exits,
            days=stay.days,
            left_mean_days=stay.left_mean,
            left_median_days=stay.left_median,
            course=_course(stay.course),
        ),
        capacity=CapacityOut(
            intake_a_day=intake.value,
            intake_a_day_low=intake.low,
            intake_a_day_high=intake.high,
            needed=capacity.needed,
            mean=capacity.mean,
            most=capacity.most,
        ),
        returns=ReturnsOut(
            share=from_row(found.returns.share, ShareOut),
            course=_course(found.returns.course),
        ),
        stages=tuple(
            StageOut(
                stage=one.stage,
                animal_days=one.animal_days,
                course=_course(one.course),
            )
            for one in found.stages
        ),
    )


def _course(course: Course) -> CourseOut:
    return CourseOut(
        watched=course.watched,
        ended=course.ended,
        median_days=course.median,
        lasting=tuple(_lasting(course, days) for days in STAY_DAYS),
    )


def _lasting(course: Course, days: int) -> LastingOut:
    known = course.at(days)
    return LastingOut(
        days=days,
        watched=known.at_risk if known else 0,
        share=known.surviving if known else None,
        low=known.low if known else None,
        high=known.high if known else None,
    )
