"""What a chart is made of. Plain values; x is epoch seconds or a day's ordinal."""

from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float | None]


class Look(StrEnum):
    """What a line is, which decides how it is drawn."""

    MEASURED = "measured"
    OTHERS = "others"
    """Of others, to compare with: thin, without a name at its end."""
    CURVE = "curve"
    """Worked out from the measurements, within them."""
    BEYOND = "beyond"
    """The same beyond the measurements: dashed, never as fact."""


@dataclass(frozen=True, slots=True)
class Line:
    """One series of values.

    Attributes:
        name: what was measured; shown at the line's end where there are several.
        points: (x, value) in order of x; a value of None leaves a gap.
        gap: two neighbours further apart than this (in units of x) are not joined.
        dots: True where each point is a measurement to be read off by itself.
        look: what the line is.
    """

    name: str
    points: tuple[Point, ...]
    gap: float
    dots: bool = False
    look: Look = Look.MEASURED


@dataclass(frozen=True, slots=True)
class Band:
    """What was wanted from `start` until `end`; an open side is None.

    Attributes:
        target: False for what is merely plausible: to be within it is not to be
            well, so it has not the look of what is wanted.
        name: written into it, at its left.
    """

    start: float
    end: float
    low: float | None
    high: float | None
    target: bool = True
    name: str = ""


@dataclass(frozen=True, slots=True)
class Area:
    """What others span, as a band whose edges move.

    Attributes:
        points: (x, low, high), in order of x; straight between them.
        name: written at its left.
    """

    points: tuple[tuple[float, float, float], ...]
    name: str = ""


@dataclass(frozen=True, slots=True)
class Flag:
    """A moment: a rule through the plot with its name, or a stroke without one."""

    at: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of x: a night, a state, or the spell that made a finding."""

    start: float
    end: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on the x axis and what stands there."""

    at: float
    name: str


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height of the drawing, in its own units."""

    width: int = 720
    height: int = 260


@dataclass(frozen=True, slots=True)
class Chart:
    """One drawing.

    Attributes:
        title: one sentence that says what is to be seen, numbers included; it is
            what a screen reader reads and what a PDF keeps as alternate text.
        description: a second, longer sentence for readers who want it.
        unit: written at the top of the y axis.
        start: first x of the drawing.
        end: last x; later than `start`.
        ticks: places on the x axis.
        lines: what was measured.
        bands: what was wanted, drawn behind.
        shades: nights, or another state; a name is written at its head.
        marks: spells that made a finding.
        size: of the drawing.
        empty: what is written where nothing was measured.
        also: values that the y axis has to hold besides, for room to go on.
        fine: width in x of a fine grid to go on by hand; 0 for none.
        areas: what others span, drawn behind.
        flags: moments; without a name a short stroke at the foot.
    """

    title: str
    description: str
    unit: str
    start: float
    end: float
    ticks: tuple[Tick, ...]
    lines: tuple[Line, ...]
    bands: tuple[Band, ...] = ()
    shades: tuple[Span, ...] = ()
    marks: tuple[Span, ...] = ()
    size: Size = Size()
    empty: str = "Nothing was measured."
    also: tuple[float, ...] = ()
    fine: float = 0
    areas: tuple[Area, ...] = ()
    flags: tuple[Flag, ...] = ()
