"""Animals in charge day by day, and how long they stay, as charts."""

from collections.abc import Sequence

from clutches.rules.statistics import Course
from core.charts.values import Chart, Line, Size, Tick
from placements.rules.figures.census import CensusDay
from staff.survival_charting import course_chart
from staff.units import day

TICKS_EVERY_PX = 150


def census_chart(days: Sequence[CensusDay], *, size: Size) -> Chart:
    """Return the chart of how many animals were in charge on each day.

    Args:
        days: one after another, at least one.
        size: of the drawing.
    """
    last = len(days) - 1
    step = max(round(len(days) * TICKS_EVERY_PX / size.width), 1)
    here = tuple((float(i), float(one.here)) for i, one in enumerate(days))
    away = tuple((float(i), float(one.away)) for i, one in enumerate(days))
    most = max(one.charges for one in days)
    return Chart(
        title=f"Animals in charge from {day(days[0].on)} to {day(days[-1].on)}: "
        f"{days[-1].charges} on the last day, {most} on the fullest.",
        description="One line for those here, one for those with foster homes or lent.",
        unit="animals",
        start=0,
        end=float(max(last, 1)),
        ticks=tuple(Tick(float(i), day(days[i].on)) for i in range(0, last + 1, step)),
        lines=(Line("here", here, gap=2), Line("away", away, gap=2)),
        size=size,
        also=(0.0, float(most)),
    )


def stay_chart(course: Course, *, size: Size) -> Chart:
    """Return the chart of how long animals stay, those that still do included.

    Args:
        course: in days from coming.
        size: of the drawing.
    """
    title = "How long animals stay: none came in the period."
    if course.watched:
        title = (
            f"How long animals stay: {course.ended} of {course.watched} that came have "
            f"left; the longest stay is {course.longest:g} days so far."
        )
    return course_chart(
        course,
        size=size,
        title=title,
        description="The line falls where an animal left, in whatever way. The band is "
        "the interval within which the true share lies, 95 times in 100. Who is still in "
        "care counts until today.",
        name="still in care",
        empty="None came in the period.",
    )
