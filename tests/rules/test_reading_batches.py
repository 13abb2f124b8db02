"""A batch against itself and against what is stored, worked out by hand."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.reading_batches import (
    compare_with_stored,
    days_touched,
    settle_repeats,
)
from tests.rules.readings import (
    Row,
    columns,
    rows_of,
)


def test_settle_repeats_orders_by_probe_and_instant() -> None:
    settled = settle_repeats(
        columns((9, 2, 1, None, None), (7, 3, 2, None, None), (9, 1, 3, None, None))
    )

    assert settled.places.tolist() == [1, 2, 0]
    assert settled.readings.temperature.tolist() == [2, 3, 1]
    assert (settled.repeated, settled.contradicted.tolist()) == (0, [])


REPEATS: list[Row] = [
    (9, 5, 1, None, None),
    (9, 5, 1, None, None),
    (9, 5, None, 2, None),
    (9, 6, 1, None, None),
    (9, 6, 2, None, None),
    (9, 7, 4, None, None),
]


@pytest.mark.parametrize("order", list(permutations(range(6)))[::37])
def test_settle_repeats_joins_or_sets_aside_whatever_the_order(
    order: tuple[int, ...],
) -> None:
    settled = settle_repeats(columns(*(REPEATS[n] for n in order)))

    assert rows_of(settled.readings) == [
        (9, 5, 1, 2, MISSING),
        (9, 7, 4, MISSING, MISSING),
    ]
    assert settled.repeated == 2
    differing = {order.index(3), order.index(4)}
    assert set(settled.contradicted.tolist()) == differing


def test_settle_repeats_of_nothing() -> None:
    assert rows_of(settle_repeats(columns()).readings) == []


STORED = columns(
    (9, 1, 10, None, None),
    (9, 2, 10, 20, None),
    (9, 3, 10, 20, 30),
    (9, 4, None, 20, None),
    (7, 1, 99, None, None),
)


@pytest.mark.parametrize(
    ("row", "verdict"),
    [
        ((9, 1, 10, None, None), "known"),
        ((9, 1, 10, 20, None), "completing"),
        ((9, 1, 11, None, None), "conflicting"),
        ((9, 1, 11, 20, None), "conflicting"),
        ((9, 2, None, 20, None), "known"),
        ((9, 3, 10, 20, 30), "known"),
        ((9, 4, 10, None, None), "completing"),
        ((9, 5, 10, None, None), "new"),
        ((9, 0, 10, None, None), "new"),
        ((8, 1, 10, None, None), "new"),
        ((7, 1, 99, None, None), "known"),
        ((7, 2, 10, None, None), "new"),
    ],
)
def test_compare_with_stored(row: Row, verdict: str) -> None:
    compared = compare_with_stored(columns(row), STORED)

    assert {
        "new": len(compared.new),
        "completing": len(compared.completing),
        "conflicting": len(compared.conflicting),
        "known": compared.known,
    } == {"new": 0, "completing": 0, "conflicting": 0, "known": 0} | {verdict: 1}


def test_compare_with_nothing_stored() -> None:
    batch = columns((9, 1, 1, None, None))

    assert compare_with_stored(batch, columns()).new.tolist() == [0]
    assert compare_with_stored(columns(), STORED).new.tolist() == []


keys = st.tuples(st.integers(1, 4), st.integers(-5, 5))
value = st.one_of(st.none(), st.integers(0, 2))
batches = st.lists(st.tuples(keys, value, value, value), max_size=30)


@given(batch=batches, stored=st.dictionaries(keys, st.tuples(value, value, value)))
def test_settling_and_comparing_loses_no_row(
    batch: list[tuple[tuple[int, int], int | None, int | None, int | None]],
    stored: dict[tuple[int, int], tuple[int | None, int | None, int | None]],
) -> None:
    given_rows = columns(*((*key, *values) for key, *values in batch))  # type: ignore[misc]
    there = columns(*((*key, *values) for key, values in stored.items()))  # type: ignore[misc]

    settled = settle_repeats(given_rows)
    compared = compare_with_stored(settled.readings, there)

    kept = len(settled.readings)
    assert kept + settled.repeated + len(settled.contradicted) == len(batch)
    assert kept == compared.known + sum(
        len(part) for part in (compared.new, compared.completing, compared.conflicting)
    )
    # What a dictionary says of the same rows.
    new = {(p, a) for p, a, *_ in rows_of(settled.readings.take(compared.new))}
    all_kept = {(p, a) for p, a, *_ in rows_of(settled.readings)}
    assert new == all_kept - set(stored)


MIDNIGHTS = np.array([0, 86_400, 172_800, 259_200])


@pytest.mark.parametrize(
    ("at", "hold_s", "days"),
    [
        ([0], [900], [0]),
        ([86_399], [1], [0]),
        ([86_399], [2], [0, 1]),
        ([86_400], [900], [1]),
        ([85_500], [900], [0]),
        ([85_501], [900], [0, 1]),
        ([10], [172_800], [0, 1, 2]),
        ([10, 172_900], [900, 900], [0, 2]),
        ([], [], []),
    ],
)
def test_days_touched(at: list[int], hold_s: list[int], days: list[int]) -> None:
    found = days_touched(np.array(at, np.int64), np.array(hold_s, np.int64), MIDNIGHTS)

    assert found.tolist() == days
