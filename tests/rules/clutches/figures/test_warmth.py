"""The mean along a way, by running sums, held to adding hour by hour."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.facts import BoxSpell
from clutches.rules.figures.warmth import Mean, mean_over, summed

H = 3600
NAN = float("nan")


def test_each_hour_counts_once_and_what_was_not_measured_in_no_mean() -> None:
    warmth = {
        1: summed(np.array([26.0, 27.0, NAN, 99.0])),
        2: summed(np.array([99.0, 99.0, 99.0, 28.0])),
    }
    spells = (BoxSpell(1, 0, 3 * H), BoxSpell(2, 3 * H, None))

    # 26, 27 and 28 of four hours.
    assert mean_over(spells, warmth, base_s=0, until_s=4 * H) == Mean(27.0, 0.75)


def test_an_hour_of_moving_is_told_by_where_the_box_came_to() -> None:
    warmth = {1: summed(np.array([20.0, 20.0])), 2: summed(np.array([30.0, 30.0]))}
    spells = (BoxSpell(1, 0, H + 1800), BoxSpell(2, H + 1800, None))

    assert mean_over(spells, warmth, base_s=0, until_s=2 * H) == Mean(25.0, 1.0)


@pytest.mark.parametrize(
    "spells",
    [(), (BoxSpell(None, 0, None),), (BoxSpell(7, 0, None),), (BoxSpell(1, 5, None),)],
)
def test_nothing_measured_has_no_mean(spells: tuple[BoxSpell, ...]) -> None:
    warmth = {1: summed(np.array([NAN, NAN]))}

    assert mean_over(spells, warmth, base_s=0, until_s=2 * H) == Mean(None, 0.0)


def test_of_less_than_an_hour_nothing_is_known() -> None:
    warmth = {1: summed(np.array([26.0]))}

    found = mean_over((BoxSpell(1, 0, None),), warmth, base_s=0, until_s=H - 1)

    assert found == Mean(None, 0.0)


hours = st.lists(st.one_of(st.just(NAN), st.floats(10, 40)), min_size=24, max_size=24)
cuts = st.lists(st.integers(1, 24 * H - 1), min_size=1, max_size=6, unique=True)


@given(hours, hours, cuts, st.data())
def test_running_sums_are_sums(
    one: list[float], two: list[float], cuts: list[int], data: st.DataObject
) -> None:
    edges = [0, *sorted(cuts)]
    places = data.draw(
        st.lists(
            st.sampled_from([None, 1, 2]), min_size=len(edges), max_size=len(edges)
        )
    )
    spells = [
        BoxSpell(place, begin, end)
        for place, begin, end in zip(places, edges, [*edges[1:], None], strict=True)
    ]
    by_hand = []
    for hour in range(24):
        there = [s.incubator for s in spells if s.from_s // H <= hour][-1]
        by_hand.append({None: [NAN] * 24, 1: one, 2: two}[there][hour])
    known = [value for value in by_hand if np.isfinite(value)]

    found = mean_over(
        spells,
        {1: summed(np.array(one)), 2: summed(np.array(two))},
        base_s=0,
        until_s=24 * H,
    )

    assert found.measured == len(known) / 24
    if known:
        assert found.mean_c == pytest.approx(sum(known) / len(known), abs=1e-9)
    else:
        assert found.mean_c is None
