"""Laws of the kernel, on invented days of every shape."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.conditions import (
    MISSING,
    QUANTITIES,
    Band,
    Bands,
    NightPlan,
    Readings,
    blocks,
    ordering,
    summarise,
)
from tests.rules.conditions.by_the_second import sum_up
from tests.rules.conditions.days import Triple, readings, rows

ADDING_UP = (
    "expected_s", "covered_s", "impossible_s", "sum_milli_s", "readings",
    "below_s", "inside_s", "above_s", "below_milli_s", "above_milli_s",
)  # fmt: skip
START = 1_780_000_000

Reading = tuple[int, int, Triple]
value = st.one_of(
    st.integers(0, 12), st.none(), st.sampled_from([-10_001, 0, 20_001, 100_001])
)
limit = st.one_of(st.just(MISSING), st.integers(0, 12))


@st.composite
def plans(draw: st.DrawFn) -> NightPlan:
    """Draw a few probes: days of up to a minute, holding times, bands."""
    bounds, hold_s, bands = [], [], []
    for probe in range(draw(st.integers(1, 4))):
        start = START + draw(st.sampled_from([0, 0, 17]))
        cuts = sorted(draw(st.tuples(*[st.integers(0, 60)] * 3)))
        bounds.append((start, *(start + cut for cut in cuts)))
        hold_s.append(draw(st.sampled_from([4, 4, 15, 90])))
        for quantity in QUANTITIES:
            for number in range(draw(st.integers(0, 2))):
                day, night = (_in_order(draw(limit), draw(limit)) for _ in range(2))
                bands.append(Band(probe, quantity, number, *day, *night))
    return NightPlan.of(bounds=bounds, hold_s=hold_s, bands=bands)


def _in_order(low: int, high: int) -> tuple[int, int]:
    return (low, high) if MISSING in (low, high) else (min(low, high), max(low, high))


@st.composite
def nights(draw: st.DrawFn) -> tuple[NightPlan, list[Reading]]:
    """Draw a plan with readings in any order, at most one an instant and probe."""
    plan = draw(plans())
    spot = st.tuples(st.integers(0, len(plan) - 1), st.integers(START - 30, START + 90))
    spots = draw(st.lists(spot, unique=True, max_size=40))
    return plan, [(*at, draw(st.tuples(value, value, value))) for at in spots]


@given(nights())
def test_the_kernel_agrees_with_counting_second_by_second(
    night: tuple[NightPlan, list[Reading]],
) -> None:
    plan, taken = night

    assert rows(summarise(readings(taken), plan)) == sum_up(readings(taken), plan)


def test_what_is_not_believed_repeats_nothing() -> None:
    none = np.array([[MISSING, MISSING]], np.int32)
    zero = np.array([0], np.int32)
    plan = NightPlan(
        bounds=np.array([[START, START + 1, START + 9, START + 37]]),
        hold_s=np.array([4]),
        bands=Bands(
            probe=zero, quantity=zero, band=zero, low_milli=none, high_milli=none
        ),
    )
    taken = [(0, START - 3, (-10_001, None, None)), (0, START, (-10_001, 11, None))]

    assert rows(summarise(readings(taken), plan)) == sum_up(readings(taken), plan)
    assert [
        row["stuck_readings"] for row in rows(summarise(readings(taken), plan))
    ] == [
        0,
        0,
    ]


@given(nights(), st.integers(1, 30))
def test_the_size_of_blocks_does_not_matter(
    night: tuple[NightPlan, list[Reading]], size: int
) -> None:
    plan, taken = night
    usual = blocks.BLOCK_ROWS
    whole = rows(summarise(readings(taken), plan))

    try:
        blocks.BLOCK_ROWS = size
        assert rows(summarise(readings(taken), plan)) == whole
    finally:
        blocks.BLOCK_ROWS = usual


@given(nights(), st.randoms(use_true_random=False))
def test_order_of_arrival_and_repeats_do_not_matter(
    night: tuple[NightPlan, list[Reading]], random: Random
) -> None:
    plan, taken = night
    again = taken + random.sample(taken, len(taken) // 2)
    random.shuffle(again)

    assert rows(summarise(readings(again), plan)) == rows(
        summarise(readings(taken), plan)
    )


@given(nights())
def test_all_seconds_add_up(night: tuple[NightPlan, list[Reading]]) -> None:
    plan, taken = night

    for row in rows(summarise(readings(taken), plan)):
        assert row["below_s"] + row["inside_s"] + row["above_s"] == row["covered_s"]
        assert 0 <= row["covered_s"] + row["impossible_s"] <= row["expected_s"]
        assert row["longest_below_s"] <= row["below_s"]
        assert row["longest_above_s"] <= row["above_s"]
        if row["covered_s"]:
            mean = row["sum_milli_s"] / row["covered_s"]
            assert row["lowest_milli"] <= mean <= row["highest_milli"]


@given(nights(), st.integers(START - 5, START + 80))
def test_a_day_split_at_any_instant_adds_up(
    night: tuple[NightPlan, list[Reading]], instant: int
) -> None:
    plan, taken = night
    before = replace(plan, bounds=np.minimum(plan.bounds, instant))
    after = replace(plan, bounds=np.maximum(plan.bounds, instant))
    whole, first, second = (
        summarise(readings(taken), window) for window in (plan, before, after)
    )

    for name in ADDING_UP:
        parts = getattr(first, name) + getattr(second, name)
        assert parts.tolist() == getattr(whole, name).tolist(), name


far = st.integers(91, 2_000)


@given(nights(), st.lists(st.tuples(st.integers(0, 3), far, far), max_size=6))
def test_readings_outside_the_day_and_its_holding_time_do_not_matter(
    night: tuple[NightPlan, list[Reading]], strangers: list[tuple[int, int, int]]
) -> None:
    plan, taken = night
    more = list(taken)
    for number, before, after in strangers:
        probe = number % len(plan)
        start, end = int(plan.bounds[probe, 0]), int(plan.bounds[probe, -1])
        more.append((probe, start - before, (1, 1, 1)))
        more.append((probe, end + after, (1, 1, 1)))

    assert rows(summarise(readings(more), plan)) == rows(
        summarise(readings(taken), plan)
    )


def test_more_probes_than_sixteen_bits_can_number() -> None:
    many = 2**16 + 3
    plan = NightPlan(
        bounds=np.tile(START + np.array([0, 10, 20, 30]), (many, 1)),
        hold_s=np.full(many, 5),
        bands=_open_bands(many),
    )
    places = np.arange(many, dtype=np.int32)
    random = np.random.default_rng(1)
    taken = random.permutation(np.concatenate([places, places]))
    nothing = np.full(len(taken), MISSING, np.int32)
    at = np.where(np.arange(len(taken)) < many, START + 12, START + 14)
    night = summarise(Readings(taken, at, taken % 1000, nothing, nothing), plan)

    by_day = night.period == 0
    both, once = np.unique(taken[:many], return_counts=True)
    expected = np.zeros(many, np.int64)
    expected[both[once == 1]] = 7  # 2 s until the second reading, which holds 5 s
    expected[both[once == 2]] = 5  # both at START + 12
    expected[expected == 0] = 5  # both at START + 14
    assert night.covered_s[by_day].tolist() == expected.tolist()
    assert night.sum_milli_s[by_day].tolist() == (expected * (places % 1000)).tolist()


def _open_bands(many: int) -> Bands:
    zeros, limits = np.zeros(many, np.int32), np.full((many, 2), MISSING, np.int32)
    return Bands(np.arange(many, dtype=np.int32), zeros, zeros, limits, limits)


@pytest.mark.parametrize("hold_s", [86_400 * 30, 2**29])
def test_a_reading_may_hold_for_weeks(hold_s: int) -> None:
    bands = [Band(n, QUANTITIES[0], 0) for n in range(3)]
    bounds = [(START, START + 10, START + 20, START + 30)] * 3
    plan = NightPlan.of(bounds=bounds, hold_s=[60, hold_s, hold_s], bands=bands)
    taken = readings(
        [(n, START - hold_s + 15, (n, None, None)) for n in range(3)]
        + [(2, START + 5, (7, None, None))]
    )

    night = summarise(taken, plan)

    assert night.covered_s.tolist() == [0, 0, 5, 10, 10, 20]
    assert night.sum_milli_s.tolist() == [
        0,
        0,
        5,
        10,
        70,
        2 * 5 + 7 * 15,
    ]


def test_places_are_ordered_stably_in_both_widths() -> None:
    random = np.random.default_rng(2)
    place = random.integers(0, 2**17, 5_000)

    wide = ordering.stable_order(place.astype(np.uint32))
    narrow = ordering.stable_order((place % 2**16).astype(np.uint16))

    assert wide.tolist() == np.argsort(place, kind="stable").tolist()
    assert narrow.tolist() == np.argsort(place % 2**16, kind="stable").tolist()
