"""Batches of readings by themselves: each verdict worked out by hand."""

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
from husbandry.rules.reading_reports import explain_refusals, instant_text, number_text
from husbandry.rules.readings import (
    EARLIEST_S,
    ORDER,
    ProbesInUse,
    ReadingColumns,
    ReadingRefused,
    cap_humidity,
    check_readings,
)

START, END, LATEST = 1_772_409_600, 1_772_496_000, 1_772_490_000
OPEN = np.iinfo(np.int64).max
# 7 measures temperature only and is retired; 9 measures all and is in use.
PROBES = ProbesInUse(
    ids=np.array([7, 9]),
    from_s=np.array([START, START]),
    until_s=np.array([END, OPEN]),
    hold_s=np.array([900, 900]),
    measures=(
        np.array([True, True]),
        np.array([False, True]),
        np.array([False, True]),
    ),
    site_ids=np.array([1, 1]),
    codes=("T-7", "A-9"),
)
NO_PROBES = ProbesInUse(
    ids=np.empty(0, np.int64),
    from_s=np.empty(0, np.int64),
    until_s=np.empty(0, np.int64),
    hold_s=np.empty(0, np.int64),
    measures=(np.empty(0, np.bool_),) * 3,
    site_ids=np.empty(0, np.int64),
    codes=(),
)
Row = tuple[int, int, int | None, int | None, int | None]


def columns(*rows: Row) -> ReadingColumns:
    filled = [[MISSING if v is None else v for v in row] for row in rows]
    table = np.array(filled, dtype=np.int64).reshape(-1, 5)
    return ReadingColumns.of(
        probe_ids=table[:, 0],
        at=table[:, 1],
        temperature=table[:, 2],
        humidity=table[:, 3],
        uv_index=table[:, 4],
    )


def rows_of(readings: ReadingColumns) -> list[tuple[int, ...]]:
    parts = (readings.probe_ids, readings.at, *readings.values())
    return [tuple(row) for row in np.column_stack(parts).tolist()]


VERDICTS = [
    ((7, START, 25_000, None, None), None),
    ((9, START, None, None, 0), None),
    ((9, LATEST, 25_000, None, None), None),
    ((9, START, -60_000, 0, 40_000), None),
    ((9, START, 150_000, 105_000, 0), None),
    ((8, START, 25_000, None, None), ReadingRefused.UNKNOWN_PROBE),
    ((10, START, 25_000, None, None), ReadingRefused.UNKNOWN_PROBE),
    ((9, EARLIEST_S - 1, 25_000, None, None), ReadingRefused.TOO_EARLY),
    ((9, EARLIEST_S, 25_000, None, None), ReadingRefused.NOT_IN_USE),
    ((9, LATEST + 1, 25_000, None, None), ReadingRefused.IN_FUTURE),
    ((9, START - 1, 25_000, None, None), ReadingRefused.NOT_IN_USE),
    ((9, START, None, None, None), ReadingRefused.NOTHING_MEASURED),
    ((7, START, 25_000, 50_000, None), ReadingRefused.NOT_MEASURED_BY_PROBE),
    ((9, START, -60_001, None, None), ReadingRefused.OUT_OF_RANGE),
    ((9, START, 150_001, None, None), ReadingRefused.OUT_OF_RANGE),
    ((9, START, 25_000, -1, None), ReadingRefused.OUT_OF_RANGE),
    ((9, START, 25_000, 105_001, None), ReadingRefused.OUT_OF_RANGE),
    ((9, START, 25_000, None, 40_001), ReadingRefused.OUT_OF_RANGE),
]


@pytest.mark.parametrize(("row", "reason"), VERDICTS)
def test_check_readings(row: Row, reason: ReadingRefused | None) -> None:
    (code,) = check_readings(columns(row), PROBES, latest_s=LATEST).tolist()

    assert (ORDER[code - 1] if code else None) == reason


def test_check_readings_judges_each_row_by_itself() -> None:
    batch = columns(*(row for row, _ in VERDICTS))

    codes = check_readings(batch, PROBES, latest_s=LATEST).tolist()

    assert [ORDER[c - 1] if c else None for c in codes] == [r for _, r in VERDICTS]


def test_a_retired_probe_is_not_in_use_after_its_last_day() -> None:
    batch = columns((7, END - 1, 25_000, None, None), (7, END, 25_000, None, None))

    before, after = check_readings(batch, PROBES, latest_s=END).tolist()

    assert before == 0
    assert ORDER[after - 1] is ReadingRefused.NOT_IN_USE


def test_check_readings_without_probes_or_rows() -> None:
    some = columns((9, START, 25_000, None, None))

    assert check_readings(some, NO_PROBES, latest_s=LATEST).tolist() == [1]
    assert check_readings(columns(), PROBES, latest_s=LATEST).tolist() == []


def test_columns_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError, match="one length"):
        ReadingColumns.of(probe_ids=[1, 2], at=[1])
    with pytest.raises(ValueError, match="one length"):
        ReadingColumns.of(probe_ids=[1], at=[1], humidity=[1, 2])


@pytest.mark.parametrize("fractions", [[25.5], [25.0], ["25"], [2**70]])
def test_columns_are_never_rounded_unseen(fractions: list[object]) -> None:
    with pytest.raises(ValueError, match="whole numbers"):
        ReadingColumns.of(probe_ids=[9], at=[START], temperature=fractions)


@pytest.mark.parametrize(
    ("given_milli", "kept"),
    [
        (2**31 - 1, 2**31 - 1),
        (2**31, 2**31 - 1),
        (2**63 - 1, 2**31 - 1),
        (MISSING + 1, MISSING + 1),
        (MISSING, MISSING),
        (MISSING - 1, MISSING + 1),
        (-(2**63), MISSING + 1),
    ],
)
def test_a_value_that_no_column_can_hold_is_out_of_range_and_not_another(
    given_milli: int, kept: int
) -> None:
    batch = ReadingColumns.of(probe_ids=[9], at=[START], temperature=[given_milli])

    assert batch.temperature.tolist() == [kept]
    (code,) = check_readings(batch, PROBES, latest_s=LATEST).tolist()
    expected = (
        ReadingRefused.NOTHING_MEASURED
        if kept == MISSING
        else ReadingRefused.OUT_OF_RANGE
    )
    assert ORDER[code - 1] is expected


SENTENCES = {
    (8, START, 25_000, None, None): "there is no probe 8; give the id of a probe of "
    "this installation",
    (9, 0, 25_000, None, None): "1970-01-01T00:00:00Z is before the first possible "
    "reading; accepted is 1990-01-01T00:00:00Z or later: set the logger's clock",
    (9, LATEST + 60, 25_000, None, None): "2026-03-02T22:21:00Z has not come yet; "
    "accepted is 2026-03-02T22:20:00Z or earlier: look at the logger's clock and time "
    "zone",
    (9, START - 1, 25_000, None, None): "at 2026-03-01T23:59:59Z the probe was not in "
    "use; accepted is from 2026-03-02T00:00:00Z",
    (7, START - 1, 25_000, None, None): "at 2026-03-01T23:59:59Z the probe was not in "
    "use; accepted is from 2026-03-02T00:00:00Z to 2026-03-03T00:00:00Z",
    (9, START, None, None, None): "it holds no value; give a temperature, a humidity "
    "or a UV index",
    (7, START, 25_000, 50_500, None): "humidity 50.5 %, but the probe does not "
    "measure that; accepted is temperature",
    (9, START, 170_000, 50_000, -20): "temperature 170 °C, UV index −0.02 is more "
    "than an instrument can show; accepted is −60 to 150 °C, 0 to 40",
}


@pytest.mark.parametrize("row", SENTENCES)
def test_each_refusal_has_its_sentence(row: Row) -> None:
    batch = columns(row)
    codes = check_readings(batch, PROBES, latest_s=LATEST)

    (refusal,) = explain_refusals(
        batch,
        codes,
        PROBES,
        latest_s=LATEST,
        stored_as=columns(),
        conflicting=np.empty(0, np.intp),
    )

    assert refusal.reason == SENTENCES[row]


def test_a_conflict_names_both_values() -> None:
    batch = columns((9, START, 25_000, None, None), (9, START, 26_000, 50_000, None))
    conflicting = np.array([0, ORDER.index(ReadingRefused.CONFLICTING) + 1], np.int8)

    (refusal,) = explain_refusals(
        batch,
        conflicting,
        PROBES,
        latest_s=LATEST,
        stored_as=columns((9, START, 25_000, 50_000, None)),
        conflicting=np.array([1]),
    )

    assert refusal.index == 1
    assert refusal.reason == (
        "2026-03-02T00:00:00Z: temperature 26 °C, but temperature 25 °C was stored "
        "earlier and stays"
    )


def test_a_repeat_that_differs_has_its_sentence() -> None:
    batch = columns((9, START, 25_000, None, None))
    codes = np.array([ORDER.index(ReadingRefused.REPEATED_DIFFERENTLY) + 1], np.int8)

    (refusal,) = explain_refusals(
        batch,
        codes,
        PROBES,
        latest_s=LATEST,
        stored_as=columns(),
        conflicting=np.empty(0, np.intp),
    )

    assert refusal.reason == (
        "2026-03-02T00:00:00Z comes more than once with different values; none of "
        "them is taken; accepted is one value for each quantity of an instant"
    )


@pytest.mark.parametrize(
    ("milli", "text"),
    [(0, "0"), (25_000, "25"), (25_500, "25.5"), (-1, "−0.001"), (100_000, "100")],
)
def test_number_text(milli: int, text: str) -> None:
    assert number_text(milli) == text


def test_instant_text_of_a_second_no_calendar_has() -> None:
    assert instant_text(OPEN) == "second 9223372036854775807"


def test_cap_humidity() -> None:
    batch = columns(
        (9, 1, None, 100_000, None), (9, 2, 1, 100_001, 1), (9, 3, 1, None, None)
    )

    assert rows_of(cap_humidity(batch)) == [
        (9, 1, MISSING, 100_000, MISSING),
        (9, 2, 1, 100_000, 1),
        (9, 3, 1, MISSING, MISSING),
    ]
    assert cap_humidity(columns()).humidity.tolist() == []


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
