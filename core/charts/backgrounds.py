"""What stands behind the lines of a chart: nights, bands, areas, spells, moments."""

from collections.abc import Iterator

from core.charts.scales import Axis, Scale
from core.charts.strokes import (
    ALARM,
    EDGE,
    FAINT,
    INK,
    MIDDLE,
    NIGHT,
    WANTED,
    rule,
    text,
    words_at,
)
from core.charts.values import Area, Band, Chart, Flag, Span

LINE_HEIGHT = 14


def behind(chart: Chart, axis: Axis, across: Scale, up: Scale) -> Iterator[str]:
    """Draw what the grid and the lines stand on: nights, bands, areas."""
    yield from _shades(chart, across, up)
    yield from (_band(band, chart, axis, across, up) for band in chart.bands)
    yield from (_area(area, chart, across, up) for area in chart.areas)


def marked(chart: Chart, across: Scale, up: Scale) -> Iterator[str]:
    """Draw what is marked over the grid: spells and moments."""
    yield from (_mark(mark, chart, across, up) for mark in chart.marks)
    yield from _flags(chart, across, up)


def _shades(chart: Chart, across: Scale, up: Scale) -> Iterator[str]:
    for shade in chart.shades:
        box = _box(shade, chart, across, up, f'class="chart-night" fill="{NIGHT}"')
        yield box
        if box and shade.name:
            x = across.place(max(shade.start, chart.start))
            yield words_at(x, up.finish, shade.name, most=across.finish)


def _box(span: Span, chart: Chart, across: Scale, up: Scale, looks: str) -> str:
    left = across.place(max(span.start, chart.start))
    right = across.place(min(span.end, chart.end))
    if right <= left:
        return ""
    return (
        f'<rect {looks} x="{left:.1f}" y="{up.finish}" '
        f'width="{right - left:.1f}" height="{up.begin - up.finish}"/>'
    )


def _band(band: Band, chart: Chart, axis: Axis, across: Scale, up: Scale) -> str:
    left = across.place(max(band.start, chart.start))
    right = across.place(min(band.end, chart.end))
    if right <= left:
        return ""
    top = up.place(axis.top if band.high is None else band.high)
    bottom = up.place(axis.bottom if band.low is None else band.low)
    edges = "".join(
        f'<path class="chart-edge" d="M{left:.1f} {up.place(v):.1f}H{right:.1f}" '
        f'fill="none" stroke="{EDGE}" stroke-width="0.8" stroke-dasharray="3 2"/>'
        for v in (band.low, band.high)
        if v is not None
    )
    looks = f'class="chart-wanted" fill="{WANTED}" fill-opacity="0.85"'
    if not band.target:
        looks = f'class="chart-plausible" fill="{FAINT}" fill-opacity="0.22"'
        edges = edges.replace(EDGE, MIDDLE)
    name = ""
    if band.name:
        # At its lower edge, where weights seldom are; an open band ends with the plot.
        y = up.finish if band.high is None else bottom - LINE_HEIGHT - 2
        name = words_at(left, y, band.name, most=across.finish)
    return (
        f'<rect {looks} x="{left:.1f}" y="{top:.1f}" '
        f'width="{right - left:.1f}" height="{bottom - top:.1f}"/>{edges}{name}'
    )


def _area(area: Area, chart: Chart, across: Scale, up: Scale) -> str:
    inside = [p for p in area.points if chart.start <= p[0] <= chart.end]
    if len(inside) < 2:
        return ""
    edge = [f"{across.place(x):.1f} {up.place(high):.1f}" for x, _, high in inside]
    back = [f"{across.place(x):.1f} {up.place(low):.1f}" for x, low, _ in inside]
    x, _, high = inside[0]
    name = words_at(across.place(x), up.place(high) - 16, area.name, most=across.finish)
    return (
        f'<path class="chart-area" fill="{WANTED}" fill-opacity="0.85" '
        f'd="M{"L".join([*edge, *reversed(back)])}Z"/>{name}'
    )


def _flags(chart: Chart, across: Scale, up: Scale) -> Iterator[str]:
    for flag in chart.flags:
        if chart.start <= flag.at <= chart.end:
            yield _flag(flag, across.place(flag.at), across, up)


def _flag(flag: Flag, x: float, across: Scale, up: Scale) -> str:
    if not flag.name:
        return rule(f"M{x:.1f} {up.begin}v-9", INK, "2")
    through = rule(f"M{x:.1f} {up.finish}V{up.begin}", INK, "0.8")
    # Below the name of a state that may end here.
    y = up.finish + LINE_HEIGHT
    return f"{through}{words_at(x, y, flag.name, most=across.finish)}"


def _mark(mark: Span, chart: Chart, across: Scale, up: Scale) -> str:
    looks = f'class="chart-spell" fill="{ALARM}" fill-opacity="0.12"'
    box = _box(mark, chart, across, up, looks)
    if not box:
        return ""
    left = across.place(max(mark.start, chart.start))
    right = across.place(min(mark.end, chart.end))
    middle = (left + right) / 2
    return (
        f'{box}<path d="M{left:.1f} {up.finish}H{right:.1f}" fill="none" '
        f'stroke="{ALARM}" stroke-width="4"/>'
        f'<text x="{middle:.1f}" y="{up.finish - 6}" text-anchor="middle" '
        f'fill="{ALARM}">{text(mark.name)}</text>'
    )
