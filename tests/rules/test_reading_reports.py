"""Every refusal of a reading says the value, the reason and what is accepted."""

import numpy as np
import pytest

from husbandry.rules.reading_reports import explain_refusals, instant_text, number_text
from husbandry.rules.readings import (
    ORDER,
    ReadingRefused,
    check_readings,
)
from tests.rules.readings import (
    LATEST,
    OPEN,
    PROBES,
    START,
    Row,
    columns,
)

SENTENCES = {
    (8, START, 25_000, None, None): "there is no probe 8; give the id of a probe of "
    "this installation",
    (9, 0, 25_000, None, None): "1970-01-01T00:00:00Z is before the first possible "
    "reading; accepted is 1990-01-01T00:00:00Z or later: set the logger's clock",
    (9, LATEST + 60, 25_000, None, None): "2026-03-02T22:21:00Z is 6 min ahead of this "
    "clock; accepted is 2026-03-02T22:20:00Z or earlier: look at the logger's clock and "
    "time zone",
    (9, LATEST + 2 * 86_400 + 3_901, 25_000, None, None): "2026-03-04T23:25:01Z is 2 d "
    "1 h ahead of this clock; accepted is 2026-03-02T22:20:00Z or earlier: look at the "
    "logger's clock and time zone",
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
