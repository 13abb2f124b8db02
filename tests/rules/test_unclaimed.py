"""Readings of unknown probes, as numbers: packed without loss, bounded in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import ReadingColumns
from husbandry.rules.unclaimed import (
    MOST_ALTOGETHER,
    MOST_CODES,
    MOST_OF_ONE,
    Waiting,
    could_be_a_code,
    digest_of,
    no_room,
    packed,
    unpacked,
)

MILLI = st.one_of(st.just(MISSING), st.integers(-(2**31), 2**31 - 1))
ROWS = st.lists(st.tuples(st.integers(0, 2**33), MILLI, MILLI, MILLI), max_size=20)
Rows = list[tuple[int, int, int, int]]


def columns(rows: Rows, probe: int = 7) -> ReadingColumns:
    at, temperature, humidity, uv_index = zip(*rows, strict=True) if rows else [()] * 4
    return ReadingColumns.of(
        probe_ids=[probe] * len(rows) or range(0),
        at=at or range(0),
        temperature=temperature or range(0),
        humidity=humidity or range(0),
        uv_index=uv_index or range(0),
    )


def _rows(readings: ReadingColumns) -> list[tuple[int, ...]]:
    values = [column.tolist() for column in readings.values()]
    return list(zip(readings.at.tolist(), *values, strict=True))


@given(st.lists(ROWS, min_size=1, max_size=3))
def test_what_was_packed_is_had_back(batches: list[Rows]) -> None:
    found = unpacked([packed(columns(rows)) for rows in batches], probe_id=3)

    assert _rows(found) == [row for rows in batches for row in rows]
    assert set(found.probe_ids.tolist()) <= {3}


@given(ROWS, ROWS)
def test_digests_are_the_same_for_the_same_readings_only(a: Rows, b: Rows) -> None:
    assert digest_of(columns(a)) == digest_of(columns(a, probe=8))
    assert (digest_of(columns(a)) == digest_of(columns(b))) is (a == b)


@pytest.mark.parametrize(
    ("text", "could"),
    [
        ("P", True),
        ("Ö-1 left", True),
        ("P" * 40, True),
        ("P" * 41, False),
        ("", False),
        (" P", False),
        ("P ", False),
        ("P\n", False),
        ("a\x00b", False),
    ],
)
def test_could_be_a_code(text: str, could: bool) -> None:
    assert could_be_a_code(text) is could


MANY = {f"C-{n}": 1 for n in range(MOST_CODES)}


@pytest.mark.parametrize(
    ("waiting", "count", "fits"),
    [
        ({}, MOST_OF_ONE, True),
        ({}, MOST_OF_ONE + 1, False),
        ({"XX": MOST_OF_ONE - 1}, 1, True),
        ({"XX": MOST_OF_ONE}, 1, False),
        ({"YY": MOST_ALTOGETHER - 5}, 5, True),
        ({"YY": MOST_ALTOGETHER - 5}, 6, False),
        (MANY, 1, False),
        ({**MANY, "XX": 1}, 1, True),
    ],
)
def test_there_is_room_up_to_the_bounds(
    waiting: dict[str, int], count: int, fits: bool
) -> None:
    why = no_room("XX", count, Waiting(waiting))

    assert (why is None) is fits
    if why is not None:
        assert "'XX'" in why[0]
        assert why[1].endswith("discard what waits, then send again")
