"""Rows and values that are not taken: the line, the value and the reason."""

from datetime import date

import pytest

from husbandry.rules.loggers.remarks import Refusal
from husbandry.rules.loggers.sentences import refusal_sentence
from husbandry.rules.loggers.vocabulary import DayOrder, Noted, Refused
from tests.rules.loggers.reading import only, parse

HEAD = "Time,Temp (°C),RH (%)\n"
GOOD = "2026-03-10 10:00,20.5,50\n2026-03-10 10:10,20.6,51\n"
FINE = [(1773133200, 20_500, 50_000), (1773133800, 20_600, 51_000)]


@pytest.mark.parametrize(
    ("row", "value", "reason"),
    [
        ("tomorrow,20,50", "tomorrow", Refused.STAMP_UNREADABLE),
        ("2026-03-10 25:00,20,50", "2026-03-10 25:00", Refused.STAMP_UNREADABLE),
        ("2026-03-10 10:60,20,50", "2026-03-10 10:60", Refused.STAMP_UNREADABLE),
        ("2026-03-10 24:01,20,50", "2026-03-10 24:01", Refused.STAMP_UNREADABLE),
        ("10:20,20,50", "10:20", Refused.STAMP_UNREADABLE),
        (",20,50", "", Refused.STAMP_MISSING),
        ("2026-02-30 10:00,20,50", "2026-02-30 10:00", Refused.DATE_IMPOSSIBLE),
        ("2026-03-10,20,50", "2026-03-10", Refused.TIME_MISSING),
        ("2027-03-10 10:00,20,50", "2027-03-10 10:00", Refused.IN_FUTURE),
        ("2026-12-31 13:05:01,20,50", "2026-12-31 13:05:01", Refused.IN_FUTURE),
        ("1989-12-31 23:59,20,50", "1989-12-31 23:59", Refused.TOO_EARLY),
        ("2026-03-10 10:20,20,50,9", "2026-03-10 10:20 20 50 9", Refused.TOO_MANY_FIELDS),
        ("2026-03-10 10:20,20", "2026-03-10 10:20 20", Refused.TOO_FEW_FIELDS),
    ],
)  # fmt: skip
def test_row_is_refused_with_its_line(row: str, value: str, reason: Refused) -> None:
    # Twelve good rows more, so that one in ten is not a broken file.
    more = "".join(f"2026-03-11 10:{m:02d},20,50\n" for m in range(12))

    parsed = parse(HEAD + GOOD + row + "\n" + more)

    assert [(r.line, r.column, r.value, r.reason) for r in parsed.refused] == [
        (4, "", value, reason)
    ]
    assert only(parsed)[:2] == FINE
    assert (parsed.rows_read, parsed.rows_used, parsed.rows_refused) == (15, 14, 1)


def test_stamp_five_minutes_ahead_is_taken() -> None:
    assert only(parse(HEAD + "2026-12-31 13:05:00,20,50\n")) == [
        (1798718700, 20_000, 50_000)
    ]


def test_first_stamp_of_1990_is_taken() -> None:
    assert only(parse("Time (UTC),Temp °C\n1990-01-01 00:00,20\n"))[0][0] == 631152000


@pytest.mark.parametrize(
    ("cell", "reason"),
    [
        ("2O.5", Refused.NOT_A_NUMBER),
        ("1.020.5", Refused.NOT_A_NUMBER),
        ("20.", Refused.NOT_A_NUMBER),
        ("68 °F", Refused.UNIT_DIFFERS),
        ("150.001", Refused.OUT_OF_RANGE),
        ("-60.001", Refused.OUT_OF_RANGE),
        ("1e99", Refused.OUT_OF_RANGE),
    ],
)
def test_value_is_refused_and_the_rest_of_its_row_kept(
    cell: str, reason: Refused
) -> None:
    parsed = parse(HEAD + GOOD + f"2026-03-10 10:20,{cell},52\n")

    (refusal,) = parsed.refused
    assert (refusal.line, refusal.column, refusal.value) == (4, "Temp (°C)", cell)
    assert refusal.reason is reason
    assert only(parsed) == [*FINE, (1773134400, -(2**31), 52_000)]
    assert (parsed.rows_used, parsed.rows_refused) == (3, 0)


def test_other_decimal_mark_of_one_value_is_refused() -> None:
    rows = "".join(f"2026-03-10 10:{m:02d};20.5;50.5\n" for m in range(60))

    parsed = parse("Time;Temp (°C);RH (%)\n" + rows + "2026-03-10 11:00;20,5;50\n")

    assert [(r.line, r.value, r.reason) for r in parsed.refused] == [
        (62, "20,5", Refused.NOT_A_NUMBER)
    ]


@pytest.mark.parametrize(
    ("cell", "milli"), [("150", 150_000), ("-60", -60_000), ("0", 0), ("1e-30", 0)]
)
def test_temperature_at_the_limit_is_taken(cell: str, milli: int) -> None:
    assert only(parse(HEAD + GOOD + f"2026-03-10 10:20,{cell},52\n"))[2][1] == milli


def test_fahrenheit_limits_are_named_in_fahrenheit() -> None:
    head = "Time,Temp (°F),RH (%)\n"
    rows = (
        "2026-03-10 10:00,70,50\n2026-03-10 10:10,302,50\n2026-03-10 10:20,302.1,50\n"
    )

    parsed = parse(head + rows)

    (refusal,) = parsed.refused
    assert dict(refusal.facts) == {"low": "-76", "high": "302", "unit": "°F"}
    assert only(parsed)[1][1] == 150_000


@pytest.mark.parametrize(
    ("cell", "milli"), [("100", 100_000), ("100.1", 100_000), ("105", 100_000)]
)
def test_humidity_a_little_above_100_counts_as_100(cell: str, milli: int) -> None:
    parsed = parse(HEAD + GOOD + f"2026-03-10 10:20,20,{cell}\n")

    assert only(parsed)[2][2] == milli
    capped = [
        note.count for note in parsed.notes if note.noted is Noted.HUMIDITY_CAPPED
    ]
    assert capped == ([] if cell == "100" else [1])


@pytest.mark.parametrize("cell", ["105.001", "-0.1"])
def test_humidity_outside_is_refused(cell: str) -> None:
    parsed = parse(HEAD + GOOD + f"2026-03-10 10:20,20,{cell}\n")

    assert [(r.column, r.value, r.reason) for r in parsed.refused] == [
        ("RH (%)", cell, Refused.OUT_OF_RANGE)
    ]


@pytest.mark.parametrize(("cell", "milli"), [("0", 0), ("3.05", 3_050), ("40", 40_000)])
def test_uv_index_is_read(cell: str, milli: int) -> None:
    parsed = parse(f"Time,UV index\n2026-03-10 10:00,1\n2026-03-10 10:10,{cell}\n")

    assert parsed.channels[0].uv_index_milli.tolist() == [1_000, milli]


def test_uv_index_above_40_is_refused() -> None:
    parsed = parse("Time,UVI\n2026-03-10 10:00,1\n2026-03-10 10:10,40.1\n")

    assert [r.reason for r in parsed.refused] == [Refused.OUT_OF_RANGE]


def test_stray_date_form_is_refused_alone() -> None:
    rows = "".join(f"2026-03-10 10:{m:02d},20,50\n" for m in range(60))

    parsed = parse(HEAD + rows + "10/03/2026 11:00,20,50\n")

    assert [(r.line, r.reason) for r in parsed.refused] == [
        (62, Refused.DATE_FORM_DIFFERS)
    ]


def test_contradicting_rows_are_all_refused_naming_each_other() -> None:
    rows = "2026-03-10 10:20,20,50\n2026-03-10 10:30,22,50\n2026-03-10 10:20,20.1,50\n"

    parsed = parse(HEAD + GOOD + rows)

    assert parsed.refused == (
        Refusal(4, "", "20 / 50", Refused.CONFLICTING, (("lines", "4, 6"), ("channel", ""))),
        Refusal(6, "", "20.1 / 50", Refused.CONFLICTING, (("lines", "4, 6"), ("channel", ""))),
    )  # fmt: skip
    assert [at for at, *_ in only(parsed)] == [1773133200, 1773133800, 1773135000]
    assert (parsed.rows_used, parsed.rows_refused) == (3, 2)


def test_identical_rows_are_one_reading() -> None:
    parsed = parse(HEAD + GOOD + GOOD)

    assert only(parsed) == FINE
    assert parsed.channels[0].line.tolist() == [2, 3]
    assert next((n.noted, n.count, n.lines) for n in parsed.notes) == (
        Noted.DUPLICATE, 2, (4, 5),
    )  # fmt: skip


def test_rows_that_complete_each_other_are_one_reading() -> None:
    parsed = parse(HEAD + "2026-03-10 10:00,20.5,\n2026-03-10 10:00,,50\n")

    assert only(parsed) == [FINE[0]]
    assert parsed.refused == ()


def test_order_of_rows_does_not_matter() -> None:
    first, second = GOOD.splitlines(keepends=True)

    parsed = parse(HEAD + second + first + "2026-03-10 10:20,20,50\n")

    assert only(parsed)[:2] == FINE
    assert parsed.channels[0].line.tolist() == [3, 2, 4]


def test_newest_first_is_not_unsorted() -> None:
    first, second = GOOD.splitlines(keepends=True)

    parsed = parse(HEAD + second + first)

    assert only(parsed) == FINE
    assert Noted.UNSORTED not in {note.noted for note in parsed.notes}


@pytest.mark.parametrize(
    "mark",
    ["-200", "-200.0", "-100", "9999", "-9999", "", "-", "---", "NaN", "n/a", "NULL", "ERR", "OL", "#N/A"],
)  # fmt: skip
def test_marks_of_no_measurement_are_missing(mark: str) -> None:
    parsed = parse(HEAD + GOOD + f"2026-03-10 10:20,{mark},50\n")

    assert only(parsed) == [*FINE, (1773134400, -(2**31), 50_000)]
    assert parsed.refused == ()
    marked = [n.count for n in parsed.notes if n.noted is Noted.MARKED_MISSING]
    assert marked == ([1] if mark else [])


def test_row_without_any_value_is_counted_and_not_refused() -> None:
    parsed = parse(HEAD + GOOD + "2026-03-10 10:20,,\n2026-03-10 10:30,-200,-\n")

    assert only(parsed) == FINE
    assert (parsed.rows_without_value, parsed.rows_refused) == (2, 0)


@pytest.mark.parametrize(
    "row", ["2026-03-10 10:05,Button pressed,", "2026-03-10 10:05,Logger stopped", "2026-03-10 10:05,Low battery,,,"]
)  # fmt: skip
def test_event_is_noted_with_its_words(row: str) -> None:
    parsed = parse(HEAD + GOOD + row + "\n")

    assert only(parsed) == FINE
    (note,) = [n for n in parsed.notes if n.noted is Noted.EVENT]
    assert (note.count, note.lines) == (1, (4,))
    assert dict(note.facts)["value"].startswith("2026-03-10 10:05 ")
    assert (parsed.rows_events, parsed.rows_refused) == (1, 0)


def test_repeated_heading_is_an_event() -> None:
    parsed = parse(HEAD + GOOD + HEAD + "2026-03-10 10:20,20,50\n")

    assert len(only(parsed)) == 3
    assert parsed.rows_events == 1


def test_word_beside_a_number_is_refused_alone() -> None:
    parsed = parse(HEAD + GOOD + "2026-03-10 10:20,fell down,50\n")

    assert [(r.value, r.reason) for r in parsed.refused] == [
        ("fell down", Refused.NOT_A_NUMBER)
    ]


def test_time_that_steps_back_a_little_is_refused() -> None:
    text = "Time,Temp °C\n10:00,20\n10:10,21\n10:05,22\n10:20,23\n"

    parsed = parse(text, starts_on=date(2026, 3, 10))

    assert [(r.line, r.value, r.reason) for r in parsed.refused] == [
        (4, "10:05", Refused.TIME_STEPS_BACK)
    ]


@pytest.mark.parametrize(
    ("stamps", "taken"),
    [
        (("12/03/2026 23:50", "13/03/2026", "13/03/2026 00:10"), True),
        (("13/03/2026 00:10", "13/03/2026", "12/03/2026 23:50"), True),
        (("12/03/2026 23:50", "14/03/2026", "14/03/2026 00:10"), False),
        (("13/03/2026 00:10", "13/03/2026", "13/03/2026 00:20"), False),
        (("13/03/2026", "13/03/2026 00:10", "13/03/2026 00:20"), True),
        (("13/03/2026 23:40", "13/03/2026 23:50", "14/03/2026"), True),
        (("13/03/2026 23:40", "13/03/2026 23:50", "13/03/2026"), False),
    ],
)  # fmt: skip
def test_date_without_time_is_midnight_only_between_its_neighbours(
    stamps: tuple[str, ...], taken: bool
) -> None:
    text = "Time,Temp °C\n" + "".join(f"{s},2{n}\n" for n, s in enumerate(stamps))

    parsed = parse(text, order=DayOrder.DMY)

    assert [r.reason for r in parsed.refused] == (
        [] if taken else [Refused.TIME_MISSING]
    )
    filled = [n.count for n in parsed.notes if n.noted is Noted.MIDNIGHT_FILLED]
    assert filled == ([1] if taken else [])


def test_sentence_names_value_reason_and_what_is_accepted() -> None:
    parsed = parse(HEAD + GOOD + "2026-03-10 10:20,151,50\n")

    assert refusal_sentence(parsed.refused[0]) == (
        "Line 4, Temp (°C): '151' is outside of what an instrument can show "
        "(-60 to 150 °C)."
    )


def test_rows_add_up() -> None:
    rows = "2026-03-10 10:20,,\nx,20,50\n2026-03-10 10:30,Started,\n" + GOOD

    parsed = parse(HEAD + GOOD + rows)

    assert parsed.rows_read == 7
    assert parsed.rows_read == (
        parsed.rows_used + parsed.rows_refused + parsed.rows_events + parsed.rows_without_value
    )  # fmt: skip
    assert parsed.readings == 2
