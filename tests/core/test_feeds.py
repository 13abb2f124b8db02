"""Calendars as files: by RFC 5545, and as two other readers understand them.

Sections of RFC 5545 stand beside each check: 3.1 (lines and folding), 3.3.4 and 3.3.5
(dates and instants), 3.3.11 (text), 3.6.1 (VEVENT), 3.8.4.7 (UID).
"""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject

from core.events import AllDay, Event, Timed
from core.feeds import write_feed

AT = datetime(2026, 3, 2, 12, 0, 5, 7, tzinfo=UTC)
LISBON = ZoneInfo("Europe/Lisbon")
DAY = AllDay(date(2026, 3, 2), date(2026, 3, 2))
LONG = "♀ V-0001 Juno, 29.4 °C; back\\slash: " * 9
CARE = Event("care-1", DAY, "Nursery; A, B", f"{LONG}\nsecond “line”", "Räume 1, N-01")


def timed(*local: int, fold: int = 0) -> Timed:
    at = datetime(*local, tzinfo=LISBON, fold=fold)  # type: ignore[misc] # its first five
    return Timed(at, at.astimezone(UTC) + timedelta(minutes=15))


def lines(feed: bytes) -> list[bytes]:
    return feed.split(b"\r\n")


def test_lines_are_folded_at_75_octets_between_characters() -> None:
    feed = write_feed([CARE], name="Care", at=AT)

    found = lines(feed)
    # 3.1: CR LF after each line, at most 75 octets without it.
    assert feed.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in feed.replace(b"\r\n", b"")
    assert max(len(line) for line in found) <= 75
    assert [line for line in found if line.startswith(b" ")]
    for line in found:
        line.decode()  # no character is torn in two
    # Counted in characters, a line of 75 would have more octets than that.
    assert "♀" in feed.decode()
    assert "°C" in feed.decode().replace("\r\n ", "")


def test_text_comes_back_as_it_was_by_two_readers() -> None:
    feed = write_feed([CARE], name="Care", at=AT)

    first = icalendar.Calendar.from_ical(feed).walk("VEVENT")[0]
    second: Any = vobject.readOne(feed.decode()).vevent
    assert str(first["summary"]) == second.summary.value == CARE.summary
    assert str(first["description"]) == second.description.value == CARE.description
    assert str(first["location"]) == second.location.value == CARE.location


def test_an_entry_of_a_whole_day_is_a_date_that_no_zone_moves() -> None:
    several = Event("laying-1", AllDay(date(2026, 3, 28), date(2026, 3, 30)), "x")
    feed = write_feed([CARE, several], name="Care", at=AT)

    found = lines(feed)
    assert b"DTSTART;VALUE=DATE:20260302" in found
    # 3.6.1: the end is the day after the last.
    assert b"DTEND;VALUE=DATE:20260303" in found
    assert b"DTSTART;VALUE=DATE:20260328" in found
    assert b"DTEND;VALUE=DATE:20260331" in found
    second: Any = vobject.readOne(feed.decode()).vevent_list[1]
    assert (second.dtstart.value, second.dtend.value) == (
        date(2026, 3, 28),
        date(2026, 3, 31),
    )


@pytest.mark.parametrize(
    ("when", "utc"),
    [
        # Lisbon keeps UTC in winter and UTC+1 from 29 March 2026, 01:00 UTC, until
        # 25 October 2026, 01:00 UTC (IANA time zone database).
        (timed(2026, 3, 28, 9, 0), "20260328T090000Z"),
        (timed(2026, 3, 29, 9, 0), "20260329T080000Z"),
        (timed(2026, 10, 25, 1, 30), "20261025T003000Z"),
        (timed(2026, 10, 25, 1, 30, fold=1), "20261025T013000Z"),
        (timed(2026, 10, 25, 9, 0), "20261025T090000Z"),
    ],
)
def test_hours_are_right_on_both_sides_of_a_change_of_clocks(
    when: Timed, utc: str
) -> None:
    feed = write_feed([Event("dose-1", when, "Dose")], name="Care", at=AT)

    assert f"DTSTART:{utc}".encode() in lines(feed)
    read: Any = vobject.readOne(feed.decode()).vevent.dtstart.value
    # Across zones, Python holds no hour that occurs twice equal to another (PEP 495).
    assert read.timestamp() == when.from_at.timestamp()


def test_entries_tell_who_made_them_and_when_but_not_where() -> None:
    feed = write_feed([CARE], name="Care – Willow Bend", at=AT)

    found = lines(feed)
    assert found[0] == b"BEGIN:VCALENDAR"
    assert b"VERSION:2.0" in found
    assert b"PRODID:-//Spurbook//Care calendar//EN" in found
    assert b"UID:care-1@spurbook.invalid" in found
    assert b"DTSTAMP:20260302T120005Z" in found
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT1H" in found
    assert "X-WR-CALNAME:Care – Willow Bend".encode() in found
    assert b"METHOD" not in feed


def test_the_same_entries_give_the_same_file() -> None:
    assert write_feed([CARE], name="x", at=AT) == write_feed([CARE], name="x", at=AT)


def test_what_a_calendar_cannot_hold_is_left_out() -> None:
    odd = Event("care-1", DAY, "bell\x07 and\x00 nul\r", "tab\tand\nline")
    feed = write_feed([odd], name="x", at=AT)

    read: Any = vobject.readOne(feed.decode()).vevent
    assert read.summary.value == "bell and nul"
    assert read.description.value == "tab\tand\nline"
    # 3.1: of the control characters only a tab may stand in a line.
    assert not [c for c in feed.decode().replace("\r\n", "") if c < " " and c != "\t"]


def test_words_cannot_break_out_of_their_line() -> None:
    evil = Event("care-1", DAY, "x\nEND:VEVENT\nBEGIN:VEVENT\nSUMMARY:y")
    feed = write_feed([evil], name="x", at=AT)

    assert len(icalendar.Calendar.from_ical(feed).walk("VEVENT")) == 1
    assert lines(feed).count(b"END:VEVENT") == 1


def test_a_feed_without_entries_is_a_calendar_too() -> None:
    feed = write_feed([], name="Care", at=AT)

    assert icalendar.Calendar.from_ical(feed).walk("VEVENT") == []


def test_the_name_of_a_calendar_ends_no_line_and_adds_no_property() -> None:
    name = "Care – Räume; A, B\\C\r\nBEGIN:VEVENT\x00 \n\rx"

    feed = write_feed([CARE], name=name, at=AT)

    read = icalendar.Calendar.from_ical(feed)
    assert len(read.subcomponents) == 1
    assert b"\nX-WR-CALNAME:Care \xe2\x80\x93 R\xc3\xa4ume\\; A\\, B\\\\C BEGIN" in feed
    assert not {b"\r", b"\n", b"\x00"} & set(feed.replace(b"\r\n", b""))
    assert b"\nBEGIN:VEVENT" in feed.replace(b"\r\n ", b"")
    assert feed.count(b"\nBEGIN:VEVENT") == 1
