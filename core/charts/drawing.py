"""A chart as SVG text.

No style attributes and no style element: a strict content security policy allows
neither. The looks are presentation attributes, so that the drawing also stands
alone in print; a page's style sheet may override them by the classes.
"""

from collections.abc import Iterator

from core.charts.backgrounds import behind, marked
from core.charts.labels import spread
from core.charts.scales import Axis, Scale, value_axis
from core.charts.strokes import EDGE, FAINT, FONT, INK, MIDDLE, rule, text
from core.charts.thinning import runs
from core.charts.values import Chart, Line, Look

LEFT, RIGHT, TOP, BOTTOM = 52, 16, 24, 30
LABEL_ROOM = 90  # to the right of the plot, where several lines need names
LABEL_OFF, LABEL_APART = 14, 13  # from the plot; from one name to the next
DASHES = ("", "6 3", "2 3", "8 3 2 3")
# Class, colour, width and dashes of the lines that are not measured.
LOOKS = {
    Look.OTHERS: ("chart-others", MIDDLE, "1", ""),
    Look.CURVE: ("chart-curve", EDGE, "2.2", ""),
    Look.BEYOND: ("chart-beyond", EDGE, "1.4", "5 4"),
}


def draw(chart: Chart) -> str:
    """Return a chart as SVG text, to stand inline in a page or in a PDF.

    Args:
        chart: what to draw; an empty one says so in its middle.

    Returns:
        One `svg` element with a title and a description, presentation attributes
        only, coordinates rounded to tenths; the same chart gives the same text.
    """
    axis = value_axis(chart)
    across, up = plot_scales(chart, axis)
    parts = [
        *behind(chart, axis, across, up),
        *_grid(chart, axis, across, up),
        *marked(chart, across, up),
        *_lines(chart, across, up),
    ]
    width, height = chart.size.width, chart.size.height
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="chart" role="img" '
        f'viewBox="0 0 {width} {height}" width="{width}" height="{height}" {FONT}>'
        f"<title>{text(chart.title)}</title><desc>{text(chart.description)}</desc>"
        f"{''.join(parts)}</svg>"
    )


def plot_scales(chart: Chart, axis: Axis) -> tuple[Scale, Scale]:
    """Return the scales across and up; the inner plot ends where they end."""
    right = RIGHT + (LABEL_ROOM if len(_measured(chart)) > 1 else 0)
    across = Scale(chart.start, chart.end, LEFT, chart.size.width - right)
    up = Scale(axis.bottom, axis.top, chart.size.height - BOTTOM, TOP)
    return across, up


def _measured(chart: Chart) -> list[Line]:
    return [line for line in chart.lines if line.look is Look.MEASURED]


def number(value: float, step: float) -> str:
    """Return a tick's number with as many places as its step needs."""
    places = 0 if step >= 1 else 1 if step >= 0.1 else 2 if step >= 0.01 else 3
    return f"{value:.{places}f}".replace("-", "−")


def _grid(chart: Chart, axis: Axis, across: Scale, up: Scale) -> Iterator[str]:
    yield from _fine_grid(chart, axis, across, up)
    yield f'<text x="{LEFT - 44}" y="14" fill="{INK}">{text(chart.unit)}</text>'
    for value in axis.ticks():
        y = up.place(value)
        yield rule(f"M{across.begin} {y:.1f}H{across.finish}", FAINT, "0.6")
        yield (
            f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end" fill="{INK}">'
            f"{number(value, axis.step)}</text>"
        )
    yield rule(f"M{across.begin} {up.finish}V{up.begin}H{across.finish}", INK, "1")
    for tick in chart.ticks:
        x = across.place(tick.at)
        yield rule(f"M{x:.1f} {up.begin}v5", INK, "1")
        yield (
            f'<text x="{x:.1f}" y="{up.begin + 20}" text-anchor="middle" '
            f'fill="{INK}">{text(tick.name)}</text>'
        )


def _fine_grid(chart: Chart, axis: Axis, across: Scale, up: Scale) -> Iterator[str]:
    if not chart.fine:
        return
    count = int((chart.end - chart.start) / chart.fine)
    for column in range(1, count + 1):
        x = across.place(chart.start + column * chart.fine)
        yield rule(f"M{x:.1f} {up.finish}V{up.begin}", FAINT, "0.25")
    rows = 5 * (len(axis.ticks()) - 1)
    for row in range(rows):
        y = up.place(axis.bottom + row * axis.step / 5)
        yield rule(f"M{across.begin} {y:.1f}H{across.finish}", FAINT, "0.25")


def _lines(chart: Chart, across: Scale, up: Scale) -> Iterator[str]:
    ends = []
    for line in chart.lines:
        if line.look is not Look.MEASURED:
            yield from _unmeasured(line, _placed(line, chart, across, up))
    measured = _measured(chart)
    for order, line in enumerate(measured):
        found = _placed(line, chart, across, up)
        if found:
            yield from _line(line, found, DASHES[order % len(DASHES)])
            ends.append((line.name, found[-1][-1]))
    if not ends:
        yield (
            f'<text x="{(across.begin + across.finish) / 2:.1f}" '
            f'y="{(up.begin + up.finish) / 2:.1f}" text-anchor="middle" '
            f'fill="{INK}">{text(chart.empty)}</text>'
        )
    if len(measured) > 1:
        yield from _names(ends, across, up)


def _placed(
    line: Line, chart: Chart, across: Scale, up: Scale
) -> list[list[tuple[float, float]]]:
    return [
        [(across.place(x), up.place(value)) for x, value in run]
        for run in runs(line, start=chart.start, end=chart.end)
    ]


def _unmeasured(line: Line, found: list[list[tuple[float, float]]]) -> Iterator[str]:
    name, colour, width, dash = LOOKS[line.look]
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    for run in found:
        # One point alone would be nothing to be seen as a line.
        path = "L".join(f"{x:.1f} {y:.1f}" for x, y in (*run, *run[: len(run) == 1]))
        yield (
            f'<path class="{name}" d="M{path}" fill="none" stroke="{colour}" '
            f'stroke-width="{width}" stroke-linecap="round" '
            f'stroke-linejoin="round"{dashes}/>'
        )


def _line(
    line: Line, found: list[list[tuple[float, float]]], dash: str
) -> Iterator[str]:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    for run in found:
        if len(run) > 1:
            path = "L".join(f"{x:.1f} {y:.1f}" for x, y in run)
            yield (
                f'<path class="chart-line" d="M{path}" fill="none" stroke="{INK}" '
                f'stroke-width="1.6" stroke-linejoin="round"{dashes}/>'
            )
        if line.dots or len(run) == 1:
            for x, y in run:
                yield (
                    f'<circle class="chart-dot" cx="{x:.1f}" cy="{y:.1f}" r="3" '
                    f'fill="{INK}"/>'
                )


def _names(
    ends: list[tuple[str, tuple[float, float]]], across: Scale, up: Scale
) -> Iterator[str]:
    """Write names beside the plot, and lead from each line's end to its name."""
    heights = spread(
        [y for _, (_, y) in ends],
        apart=LABEL_APART,
        top=up.finish,
        bottom=up.begin,
    )
    edge = across.finish
    for (name, (x, y)), height in zip(ends, heights, strict=True):
        yield (
            f'<path class="chart-lead" d="M{x:.1f} {y:.1f}H{edge:.1f}'
            f'L{edge + LABEL_OFF - 3:.1f} {height:.1f}" fill="none" '
            f'stroke="{INK}" stroke-width="0.5" stroke-dasharray="1 2"/>'
            f'<text class="chart-name" x="{edge + LABEL_OFF:.1f}" '
            f'y="{height + 4:.1f}" fill="{INK}">{text(name)}</text>'
        )
