"""Dates and times as written."""

import pytest

from husbandry.rules.loggers.clocks import NO_OFFSET, Clock, read_clock, read_offset
from husbandry.rules.loggers.dates import DateForm, DateParts, calendar_day, read_date
from husbandry.rules.loggers.stamps import read_stamp
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.loggers.words import month_number

MINUTE_US = 60_000_000


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("18:00", 1080), ("7:00", 420), ("18.00.00", 1080), ("24:00", 1440),
        ("12:00 AM", 0), ("12:00 PM", 720), ("12:30 am", 30), ("11:59 p.m.", 1439),
        ("6 PM", 1080), ("6:00 p. m.", 1080), ("6:00 μμ", 1080), ("6:00 π.μ.", 360),
        ("vorm. 6:00", 360), ("오후 6:00", 1080), ("下午6:00", 1080), ("上午6:00", 360),
        ("6:00 odp.", 1080), ("6:00 du.", 1080), ("13:05 PM", 785), ("0:05 AM", 5),
        ("18h05", 1085), ("18:05 Uhr", 1085), ("18:05:00,999", None), ("1805", 1085),
    ],
)  # fmt: skip
def test_time_of_day(text: str, minutes: int | None) -> None:
    us = 1085 * MINUTE_US + 999_000 if minutes is None else minutes * MINUTE_US

    assert read_clock(text) == Clock(us, NO_OFFSET)


@pytest.mark.parametrize(
    "text",
    ["", "18", "24:01", "25:00", "18:60", "18:00:60", "13:00 AM", "0:00 PM", "6:00 xm", "7:5", "18:00:00 EST"],
)  # fmt: skip
def test_no_time_of_day(text: str) -> None:
    assert read_clock(text) is None


@pytest.mark.parametrize(
    ("text", "offset_s"),
    [
        ("Z", 0), ("UTC", 0), ("+01:00", 3600), ("-0500", -18_000), ("UTC+2", 7200),
        ("GMT-05:30", -19_800), ("CET", 3600), ("−03:00", -10_800), ("+14:00", 50_400),
    ],
)  # fmt: skip
def test_offset(text: str, offset_s: int) -> None:
    assert read_offset(text) == (offset_s, "")


@pytest.mark.parametrize("text", ["PM", "EST", "+15:00", "+01:60", "xyz"])
def test_no_offset(text: str) -> None:
    assert read_offset(text) is None


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("10/03/2026", DateParts(DateForm.YEAR_LAST, 10, 3, 2026)),
        ("10.3.26", DateParts(DateForm.SHORT, 10, 3, 26)),
        ("2026-03-10", DateParts(DateForm.YEAR_FIRST, 2026, 3, 10)),
        ("20260310", DateParts(DateForm.YEAR_FIRST, 2026, 3, 10)),
        ("10-Mar-26", DateParts(DateForm.NAMED, 10, 3, 2026)),
        ("10. Mai 2026", DateParts(DateForm.NAMED, 10, 5, 2026)),
        ("1er août 2026", DateParts(DateForm.NAMED, 1, 8, 2026)),
        ("10 października 2026", DateParts(DateForm.NAMED, 10, 10, 2026)),
        ("10. září 2026", DateParts(DateForm.NAMED, 10, 9, 2026)),
        ("10 de março de 2026", DateParts(DateForm.NAMED, 10, 3, 2026)),
        ("2026-Mar-10", DateParts(DateForm.NAMED, 10, 3, 2026)),
        ("Tue 10 Mar 2026", DateParts(DateForm.NAMED, 10, 3, 2026)),
    ],
)
def test_date_as_written(text: str, parts: DateParts) -> None:
    assert read_date(text) == (parts, "")


@pytest.mark.parametrize(
    "text",
    ["", "18.00.00", "1.2.3.4", "10/03/202", "2026/03/100", "10 Foo 2026", "Foo 10 2026", "2026 Foo 10", "10/03", "12345678"],
)  # fmt: skip
def test_no_date(text: str) -> None:
    assert read_date(text) is None


@pytest.mark.parametrize(
    ("text", "iso"),
    [("2024-02-29", "2024-02-29"), ("2023-02-29", None), ("2100-02-29", None)],
)
def test_leap_days(text: str, iso: str | None) -> None:
    """ISO 8601 and the Gregorian rule: 2024 is a leap year, 2023 and 2100 are not."""
    found = read_date(text)

    assert found is not None
    day = calendar_day(found[0], DayOrder.PLAIN)
    assert (day.isoformat() if day else None) == iso


@pytest.mark.parametrize(
    ("year", "full"), [(0, 2000), (68, 2068), (69, 1969), (99, 1999)]
)
def test_two_digit_years(year: int, full: int) -> None:
    """POSIX strptime %y: 69–99 are the twentieth century, 00–68 the next."""
    day = calendar_day(DateParts(DateForm.SHORT, 1, 2, year), DayOrder.DMY)

    assert day is not None
    assert (day.year, day.month, day.day) == (full, 2, 1)


def test_order_that_a_form_cannot_have_is_no_day() -> None:
    parts = DateParts(DateForm.YEAR_LAST, 10, 3, 2026)

    assert calendar_day(parts, DayOrder.YMD) is None


@pytest.mark.parametrize(
    ("word", "month"),
    [("Mär.", 3), ("mrt", 3), ("déc.", 12), ("ago", 8), ("gen", 1), ("paź", 10), ("JUIN", 6), ("jui", None), ("xyz", None)],
)  # fmt: skip
def test_month_names(word: str, month: int | None) -> None:
    assert month_number(word) == month


@pytest.mark.parametrize(
    "text", ["Start", "-200", "21.5", "10/03/2026 later", "18:00 later"]
)
def test_no_stamp(text: str) -> None:
    assert read_stamp(text) is None
