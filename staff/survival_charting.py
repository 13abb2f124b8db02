"""How hatchlings survive, as a chart: steps down, with the band of what is known."""

from clutches.rules.statistics import Course
from core.charts.values import Area, Chart, Line, Point, Size, Tick

WIDE, NARROW = Size(720, 240), Size(350, 220)
SHORTEST_DAYS = 90
TICK_DAYS = (30, 60, 90, 180, 365, 730, 1460, 3650)
POINTS = 120
# So that the name of the last tick has room.
ROOM = 1.05


def survival_chart(course: Course, *, size: Size) -> Chart:
    """Return the chart of a course of survival.

    Args:
        course: in days from hatching.
        size: of the drawing.
    """
    return course_chart(
        course,
        size=size,
        title=_title(course),
        description="The line falls where a hatchling died. The band is the interval "
        "within which the true share lies, 95 times in 100. Who was placed, got lost "
        "or lives counts until then.",
        name="alive",
        empty="No hatchling is on record.",
    )


def course_chart(
    course: Course,
    *,
    size: Size,
    title: str,
    description: str,
    name: str,
    empty: str,
) -> Chart:
    """Return the chart of any course that falls by steps, with its band.

    Args:
        course: in days.
        size: of the drawing.
        title: one sentence, numbers included.
        description: a longer one.
        name: of what falls, such as `alive`.
        empty: what is written where nothing was watched.
    """
    end = ROOM * max(course.longest, float(SHORTEST_DAYS))
    return Chart(
        title=title,
        description=description,
        unit=f"% {name}",
        start=0,
        end=end,
        ticks=tuple(Tick(at, f"day {at:.0f}") for at in _ticks(end, size)),
        lines=(Line(name, _steps(course), gap=end + 1),),
        areas=(Area(_band(course)),) if course.watched else (),
        size=size,
        empty=empty,
        also=(0.0, 100.0),
    )


def _title(course: Course) -> str:
    if not course.watched:
        return "Survival of hatchlings: none is on record."
    died = f"{course.ended} of {course.watched} died"
    return f"Survival of hatchlings: {died}; watched for {course.longest:.0f} days."


def _ticks(end: float, size: Size) -> list[float]:
    step = next((d for d in TICK_DAYS if end / d <= size.width / 90), TICK_DAYS[-1])
    return [float(at) for at in range(0, int(end) + 1, step)]


def _steps(course: Course) -> tuple[Point, ...]:
    if not course.watched:
        return ()
    points: list[Point] = [(0.0, 100.0)]
    share = 100.0
    for step in course.steps:
        points.append((step.at, share))
        share = 100 * step.surviving
        points.append((step.at, share))
    points.append((course.longest, share))
    return tuple(points)


def _band(course: Course) -> tuple[tuple[float, float, float], ...]:
    """Return the interval day by day, as far as anybody was watched."""
    points = []
    for step in range(POINTS + 1):
        at = course.longest * step / POINTS
        known = course.at(at)
        if known is not None:
            points.append((at, 100 * known.low, 100 * known.high))
    return tuple(points)
