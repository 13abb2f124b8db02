"""Readings judged one by one: each verdict worked out by hand."""

import pytest

from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import (
    EARLIEST_S,
    ORDER,
    ReadingColumns,
    ReadingRefused,
    cap_humidity,
    check_readings,
)
from tests.rules.readings import (
    END,
    LATEST,
    NO_PROBES,
    PROBES,
    START,
    Row,
    columns,
    rows_of,
)

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
