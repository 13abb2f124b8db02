"""Charts: geometry that can be checked on paper, and laws that always hold.

The tick steps (1, 2 or 5 times a power of ten) and "gaps are left open" are this
project's own rules, so they are checked against values worked out by hand. The two
days on which European clocks change in 2026 (29 March, 25 October) are those of
Directive 2000/84/EC: last Sunday of March and of October.
"""

from datetime import UTC, date, datetime
from itertools import pairwise
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.charts.drawing import draw, number, plot_scales
from core.charts.labels import spread
from core.charts.scales import (
    Axis,
    Scale,
    clock_ticks,
    date_ticks,
    round_axis,
    value_axis,
)
from core.charts.tables import TableRow, table
from core.charts.thinning import MOST_POINTS, runs
from core.charts.values import (
    Area,
    Band,
    Chart,
    Flag,
    Line,
    Look,
    Point,
    Size,
    Span,
    Tick,
)

SVG = "{http://www.w3.org/2000/svg}"
LISBON = ZoneInfo("Europe/Lisbon")
reals = st.floats(-1e4, 1e4, allow_nan=False).map(lambda v: round(v, 3))
series = st.lists(st.tuples(st.integers(0, 86_400), reals), max_size=40).map(
    lambda points: tuple(sorted(points))
)


def chart(*lines: Line, **more: object) -> Chart:
    told: dict[str, object] = {
        "title": "Temperature",
        "description": "One day",
        "unit": "°C",
        "start": 0,
        "end": 86_400,
        "ticks": (Tick(43_200, "12:00"),),
        "lines": lines,
    }
    return Chart(**{**told, **more})  # type: ignore[arg-type] - the names above


def drawn(found: Chart) -> ET.Element:
    return ET.fromstring(draw(found))


def line(*points: Point, gap: float = 900) -> Line:
    return Line("Perch", points, gap)


def coordinates(root: ET.Element) -> list[tuple[float, float]]:
    found = [
        (float(c.get("cx", "")), float(c.get("cy", "")))
        for c in root.iter(f"{SVG}circle")
    ]
    for path in root.iter(f"{SVG}path"):
        if path.get("class") == "chart-line":
            for pair in path.get("d", "").removeprefix("M").split("L"):
                x, y = pair.split(" ")
                found.append((float(x), float(y)))
    return found


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0, 10, Axis(0, 10, 2)),
        (18.2, 34.9, Axis(15, 35, 5)),
        (1.1, 23.9, Axis(0, 25, 5)),
        (0.4, 0.9, Axis(0.4, 0.9, 0.1)),
        (-3, 3, Axis(-4, 4, 2)),
        (7, 7, Axis(6, 8, 0.5)),
    ],
)
def test_round_axis_holds_the_values(low: float, high: float, expected: Axis) -> None:
    axis = round_axis(low, high)

    assert (axis.bottom, axis.top, axis.step) == pytest.approx(
        (expected.bottom, expected.top, expected.step)
    )


@given(reals, reals)
def test_round_axis_always_holds_the_values(first: float, second: float) -> None:
    low, high = sorted((first, second))

    axis = round_axis(low, high)

    slack = 1e-6 * max(1, abs(low), abs(high))
    assert axis.bottom <= low + slack
    assert axis.top >= high - slack
    assert 2 <= len(axis.ticks()) <= 12


def test_scale_maps_its_ends_and_its_middle() -> None:
    scale = Scale(0, 10, 200, 100)

    assert [scale.place(v) for v in (0, 5, 10)] == [200, 150, 100]


@given(st.lists(reals, min_size=2, max_size=20, unique=True))
def test_scale_is_monotone(values: list[float]) -> None:
    points = tuple((60.0 * i, v) for i, v in enumerate(values))
    found = chart(line(*points))
    across, up = plot_scales(found, value_axis(found))

    ys = [up.place(v) for v in sorted(values)]

    assert all(later < earlier for earlier, later in pairwise(ys))
    assert across.place(0) < across.place(1)


@given(series, series)
def test_points_stay_inside_the_viewport(
    first: tuple[Point, ...], second: tuple[Point, ...]
) -> None:
    size = Size(300, 120)
    found = chart(line(*first), Line("Floor", second, 60), size=size)

    for x, y in coordinates(drawn(found)):
        assert 0 <= x <= size.width
        assert 0 <= y <= size.height


@given(series)
def test_band_and_points_share_one_scale(points: tuple[Point, ...]) -> None:
    found = chart(line(*points), bands=(Band(0, 86_400, 18, 21),))
    root = drawn(found)
    _, up = plot_scales(found, value_axis(found))
    band = next(r for r in root.iter(f"{SVG}rect") if r.get("class") == "chart-wanted")

    assert float(band.get("y", "")) == pytest.approx(up.place(21), abs=0.06)
    assert float(band.get("height", "")) == pytest.approx(
        up.place(18) - up.place(21), abs=0.06
    )


def test_open_band_reaches_the_edge_of_the_plot() -> None:
    found = chart(line((0, 10), (300, 30)), bands=(Band(0, 86_400, 20, None),))
    _, up = plot_scales(found, value_axis(found))

    band = next(
        r for r in drawn(found).iter(f"{SVG}rect") if r.get("class") == "chart-wanted"
    )

    assert float(band.get("y", "")) == pytest.approx(up.finish)


@pytest.mark.parametrize(
    ("points", "expected"),
    [
        ((), ()),
        (((0, 20),), (1,)),
        (((0, 20), (900, 21)), (2,)),
        (((0, 20), (901, 21)), (1, 1)),
        (((0, 20), (300, None), (600, 21), (900, 22)), (1, 2)),
        (((0, 20), (300, float("nan")), (600, 21)), (1, 1)),
        (((-300, 20), (0, 21), (86_400, 22), (86_700, 23)), (1, 1)),
    ],
    ids=["empty", "one", "at the gap", "over it", "missing", "not a number", "outside"],
)
def test_runs_end_at_gaps(points: tuple[Point, ...], expected: tuple[int, ...]) -> None:
    found = runs(line(*points), start=0, end=86_400)

    assert tuple(len(run) for run in found) == expected


def test_gap_is_left_open_in_the_drawing() -> None:
    points = ((0, 20), (300, 21), (9000, 22), (9300, 23))

    paths = [
        p
        for p in drawn(chart(line(*points))).iter(f"{SVG}path")
        if p.get("class") == "chart-line"
    ]

    assert len(paths) == 2


def test_thinning_keeps_extremes_and_ends() -> None:
    values = [20.0] * 8640
    values[1234], values[7000] = 3.5, 41.25
    points = tuple((10.0 * i, v) for i, v in enumerate(values))

    kept = [p for run in runs(line(*points), start=0, end=86_400) for p in run]

    assert len(kept) <= MOST_POINTS
    assert min(v for _, v in kept) == 3.5
    assert max(v for _, v in kept) == 41.25
    assert kept[0] == points[0]
    assert kept[-1] == points[-1]
    assert kept == sorted(kept)


@given(st.integers(501, 2000), reals, st.integers(1, 97))
def test_thinning_never_passes_its_limit(count: int, top: float, turn: int) -> None:
    points = tuple((40.0 * i, top * (i * turn % 101)) for i in range(count))

    found = runs(line(*points, gap=50), start=0, end=86_400)

    assert sum(len(run) for run in found) <= MOST_POINTS


def test_words_are_escaped() -> None:
    evil = '</title><script>alert("1")</script>\x07'
    root = drawn(
        chart(
            Line(evil, ((0, 1), (300, 2)), 900),
            Line("b", (), 900),
            title=evil,
            description=evil,
            unit=evil,
            marks=(Span(0, 600, evil),),
            ticks=(Tick(0, evil),),
        )
    )

    assert root.find(f"{SVG}title").text == evil.replace("\x07", " ")  # type: ignore[union-attr]
    assert not list(root.iter(f"{SVG}script"))


def test_no_style_that_a_strict_policy_would_refuse() -> None:
    found = chart(
        line((0, 1), (300, 2)),
        bands=(Band(0, 600, 1, 2),),
        shades=(Span(0, 600),),
        marks=(Span(0, 600, "Too cold"),),
        fine=3600,
    )

    names = {name for element in drawn(found).iter() for name in element.attrib}
    tags = {element.tag for element in drawn(found).iter()}

    assert "style" not in names
    assert not {n for n in names if n.startswith("on")}
    assert tags == {
        f"{SVG}{n}" for n in ("svg", "title", "desc", "rect", "path", "text")
    }


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        ((), ()),
        ((50,), (50,)),
        ((20, 40), (20, 40)),
        ((20, 30), (20, 30)),
        ((20, 29.9), (20, 30)),
        ((29.9, 20), (30, 20)),
        ((20, 20, 20), (20, 30, 40)),
        ((-5, 0), (0, 10)),
        ((100, 98, 99), (100, 80, 90)),
        ((150, 5), (100, 5)),
    ],
    ids=[
        *("none", "one", "far apart", "just apart", "too close", "upside down"),
        *("equal", "above the top", "at the bottom", "below it"),
    ],
)
def test_names_are_moved_apart(
    wanted: tuple[float, ...], expected: tuple[float, ...]
) -> None:
    assert spread(wanted, apart=10, top=0, bottom=100) == expected


def test_names_that_do_not_fit_stand_evenly() -> None:
    assert spread((9, 9, 9, 9, 9), apart=10, top=0, bottom=20) == (0, 5, 10, 15, 20)


@given(st.lists(st.floats(-50, 150), max_size=9))
def test_names_keep_their_distance_and_their_order(wanted: list[float]) -> None:
    placed = spread(wanted, apart=10, top=0, bottom=100)

    assert all(-1e-9 <= y <= 100 + 1e-9 for y in placed)
    ordered = sorted(zip(wanted, placed, strict=True))
    assert [y for _, y in ordered] == sorted(placed)
    assert all(b - a >= 10 - 1e-9 for a, b in pairwise(sorted(placed)))


def test_names_of_lines_stand_beside_the_plot_one_below_the_other() -> None:
    lines = [
        Line(name, ((0, 20), (80_000, 25 + shift)), 90_000)
        for name, shift in (("mean", 0), ("lowest", -0.5), ("highest", 0.1))
    ]
    found = chart(*lines, size=Size(720, 118))
    across, up = plot_scales(found, value_axis(found))

    names = [
        t for t in drawn(found).iter(f"{SVG}text") if t.get("class") == "chart-name"
    ]

    placed = {t.text: float(t.get("y", "")) for t in names}
    assert sorted(placed, key=lambda name: placed[str(name)]) == [
        *("highest", "mean", "lowest")
    ]
    # The letters are 12 units high.
    assert all(b - a >= 12 for a, b in pairwise(sorted(placed.values())))
    assert all(up.finish <= y - 4 <= up.begin for y in placed.values())
    assert {float(t.get("x", "")) for t in names} == {across.finish + 14}


def test_empty_chart_says_so() -> None:
    words = [
        t.text
        for t in drawn(chart(line(), empty="No weighing yet.")).iter(f"{SVG}text")
    ]

    assert "No weighing yet." in words


def test_one_point_is_a_dot() -> None:
    root = drawn(chart(line((600, 20))))

    assert len(list(root.iter(f"{SVG}circle"))) == 1
    assert coordinates(root) == [(pytest.approx(56.5, abs=0.1), pytest.approx(127))]


def test_shade_is_cut_at_the_plot() -> None:
    found = chart(line(), shades=(Span(-500, 43_200), Span(90_000, 95_000)))

    nights = [
        r for r in drawn(found).iter(f"{SVG}rect") if r.get("class") == "chart-night"
    ]

    across, _ = plot_scales(found, value_axis(found))
    assert [(n.get("x"), n.get("width")) for n in nights] == [
        (f"{across.begin:.1f}", f"{(across.finish - across.begin) / 2:.1f}")
    ]


def test_same_chart_draws_the_same_text() -> None:
    assert draw(chart(line((0, 1), (300, 2)))) == draw(chart(line((0, 1), (300, 2))))


@pytest.mark.parametrize(
    ("on", "hours"),
    [(date(2026, 3, 1), 24), (date(2026, 3, 29), 23), (date(2026, 10, 25), 25)],
)
def test_clock_ticks_follow_the_clock_on_the_wall(on: date, hours: int) -> None:
    start = int(datetime(on.year, on.month, on.day, tzinfo=LISBON).timestamp())
    ticks = clock_ticks(start, start + hours * 3600, zone=LISBON)

    assert [t.name for t in ticks[1:-1]] == [f"{h:02}:00" for h in range(3, 24, 3)]
    for tick in ticks[1:-1]:
        shown = datetime.fromtimestamp(tick.at, tz=UTC).astimezone(LISBON)
        assert f"{shown:%H:%M}" == tick.name
    assert ticks[-1].at - ticks[0].at == hours * 3600


def test_clock_ticks_of_a_week_are_days() -> None:
    start = int(datetime(2026, 3, 25, tzinfo=LISBON).timestamp())

    ticks = clock_ticks(start, start + 7 * 86_400, zone=LISBON)

    assert [t.name for t in ticks] == [*(f"{d} Mar" for d in range(25, 32)), "1 Apr"]
    local = [datetime.fromtimestamp(t.at, tz=LISBON) for t in ticks]
    assert {t.hour for t in local} == {0}


@pytest.mark.parametrize(
    ("first", "last", "names"),
    [
        (date(2026, 3, 1), date(2026, 3, 1), ["1 Mar"]),
        (date(2026, 3, 1), date(2026, 3, 4), ["1 Mar", "2 Mar", "3 Mar", "4 Mar"]),
        (date(2026, 2, 20), date(2026, 5, 2), None),
        (date(2025, 11, 15), date(2026, 10, 1), None),
    ],
)
def test_date_ticks(first: date, last: date, names: list[str] | None) -> None:
    ticks = date_ticks(first, last)

    assert 1 <= len(ticks) <= 9
    assert all(first.toordinal() <= t.at <= last.toordinal() for t in ticks)
    if names is not None:
        assert [t.name for t in ticks] == names


def test_date_ticks_of_a_year_are_first_days_of_months() -> None:
    ticks = date_ticks(date(2025, 11, 15), date(2026, 10, 1))

    assert [t.name for t in ticks] == [
        "Jan 2026",
        "Mar 2026",
        "May 2026",
        "Jul 2026",
        "Sep 2026",
    ]


@pytest.mark.parametrize(
    ("value", "step", "shown"),
    [
        (20, 5, "20"),
        (-4, 2, "−4"),
        (0.5, 0.5, "0.5"),
        (0.25, 0.05, "0.25"),
        (0.002, 0.002, "0.002"),
    ],
)
def test_tick_numbers(value: float, step: float, shown: str) -> None:
    assert number(value, step) == shown


def test_table_sums_up_by_name() -> None:
    points = ((0, 20.0), (300, 22.0), (3600, None), (7200, 19.0))

    rows = table(line(*points), name=lambda x: f"{int(x) // 3600} h")

    assert rows == (
        TableRow("0 h", 20, 22, 2),
        TableRow("1 h", None, None, 0),
        TableRow("2 h", 19, 19, 1),
    )


def test_table_of_nothing_is_empty() -> None:
    assert table(line(), name=str) == ()


def test_what_is_plausible_has_not_the_look_of_a_target() -> None:
    found = chart(
        line((0, 10), (300, 30)),
        bands=(Band(0, 86_400, 8, 31, target=False, name="plausible, not a target"),),
    )

    text = draw(found)

    assert 'class="chart-wanted"' not in text
    assert text.count('class="chart-plausible"') == 1
    assert ">plausible, not a target</text>" in text


def test_lines_that_are_not_measured_neither_dash_nor_name_the_measured_one() -> None:
    alone = chart(line((0, 10), (300, 30)))
    among = chart(
        Line("mate", ((0, 12), (300, 28)), 900, look=Look.OTHERS),
        Line("curve", ((0, 12), (300, 28)), 900, look=Look.CURVE),
        Line("beyond", ((300, 28), (600, 30)), 900, look=Look.BEYOND),
        Line("one", ((300, 28),), 900, look=Look.OTHERS),
        line((0, 10), (300, 30)),
    )

    root = drawn(among)

    own = [p for p in root.iter(f"{SVG}path") if p.get("class") == "chart-line"]
    assert coordinates(root) == coordinates(drawn(alone))
    assert [p.get("stroke-dasharray") for p in own] == [None]
    classes = [p.get("class") for p in root.iter(f"{SVG}path")]
    assert classes.count("chart-others") == 2
    assert classes.count("chart-curve") == 1
    assert "chart-name" not in draw(among)
    (beyond,) = (p for p in root.iter(f"{SVG}path") if p.get("class") == "chart-beyond")
    assert beyond.get("stroke-dasharray")


def test_an_area_spans_what_it_is_given_and_the_axis_holds_it() -> None:
    found = chart(
        line((0, 10), (300, 20)),
        areas=(Area(((0, 5, 15), (86_400, 25, 40), (90_000, 0, 99)), "3rd to 97th"),),
    )
    across, up = plot_scales(found, value_axis(found))
    (area,) = (
        p for p in drawn(found).iter(f"{SVG}path") if p.get("class") == "chart-area"
    )

    assert (value_axis(found).bottom, value_axis(found).top) == (0, 40)
    assert area.get("d") == (
        f"M{across.begin:.1f} {up.place(15):.1f}L{across.finish:.1f} {up.finish:.1f}"
        f"L{across.finish:.1f} {up.place(25):.1f}L{across.begin:.1f} {up.place(5):.1f}Z"
    )
    assert 'class="chart-area"' not in draw(chart(areas=(Area(((0, 1, 2),)),)))


def test_a_moment_has_its_name_or_is_a_stroke_at_the_foot() -> None:
    found = chart(
        line((0, 10), (300, 20)),
        shades=(Span(0, 3600, "gravid"), Span(90_000, 99_000, "later")),
        flags=(Flag(300, "laid"), Flag(600), Flag(99_000, "later")),
    )

    text = draw(found)

    assert ">gravid</text>" in text
    assert ">laid</text>" in text
    assert "later" not in text
    assert text.count("v-9") == 1
