"""The changes of the clock. Source: IANA time zone database.

Europe/Berlin 2026: on 29 March 02:00 becomes 03:00 (01:00 UTC); on 25 October 03:00
becomes 02:00 (01:00 UTC), so that 02:30 comes twice. Instants by `date -u`.
"""

from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from husbandry.rules.loggers.vocabulary import Noted, Refused
from tests.rules.loggers.reading import parse

SPRING_0100Z = 1774746000
"""2026-03-29 01:00 UTC."""
AUTUMN_0000Z = 1792886400
"""2026-10-25 00:00 UTC."""


def file_of(*stamps: str, head: str = "Time,Temp °C") -> str:
    return head + "\n" + "".join(f"{s},2{n % 10}.{n}\n" for n, s in enumerate(stamps))


def instants(text: str, **kwargs: object) -> list[int]:
    (channel,) = parse(text, **kwargs).channels  # type: ignore[arg-type]  # options of parse
    return [int(at) for at in channel.at]


def test_skipped_local_time_is_refused_naming_both_neighbours() -> None:
    text = file_of("2026-03-29 01:30", "2026-03-29 02:30", "2026-03-29 03:00")

    parsed = parse(text)

    (refusal,) = parsed.refused
    assert (refusal.line, refusal.reason) == (3, Refused.LOCAL_TIME_SKIPPED)
    assert dict(refusal.facts) == {
        "zone": "Europe/Berlin",
        "last": "2026-03-29 01:59:59",
        "next": "2026-03-29 03:00:00",
    }
    assert parsed.channels[0].at.tolist() == [SPRING_0100Z - 1800, SPRING_0100Z]


@pytest.mark.parametrize(
    ("stamp", "skipped"),
    [("01:59:59", False), ("02:00:00", True), ("02:59:59", True), ("03:00:00", False)],
)
def test_edges_of_the_skipped_hour(stamp: str, skipped: bool) -> None:
    parsed = parse(file_of("2026-03-28 12:00", f"2026-03-29 {stamp}"))

    assert [r.reason for r in parsed.refused] == [Refused.LOCAL_TIME_SKIPPED] * skipped


def test_fixed_offset_skips_nothing() -> None:
    assert instants(file_of("2026-03-29 02:30"), zone="+01:00") == [SPRING_0100Z + 1800]


def test_hour_that_comes_twice_is_told_apart_by_the_order_of_rows() -> None:
    text = file_of(
        "2026-10-25 01:40", "2026-10-25 02:00", "2026-10-25 02:20", "2026-10-25 02:40",
        "2026-10-25 02:00", "2026-10-25 02:20", "2026-10-25 02:40", "2026-10-25 03:00",
    )  # fmt: skip

    parsed = parse(text)

    start = AUTUMN_0000Z - 1200
    assert parsed.channels[0].at.tolist() == list(range(start, start + 8 * 1200, 1200))
    assert [n.count for n in parsed.notes if n.noted is Noted.HOUR_TWICE_RESOLVED] == [
        6
    ]


def test_newest_first_is_told_apart_as_well() -> None:
    stamps = [
        "2026-10-25 03:00", "2026-10-25 02:40", "2026-10-25 02:20", "2026-10-25 02:00",
        "2026-10-25 02:40", "2026-10-25 02:20", "2026-10-25 02:00", "2026-10-25 01:40",
    ]  # fmt: skip

    start = AUTUMN_0000Z - 1200
    assert instants(file_of(*stamps)) == list(range(start, start + 8 * 1200, 1200))


def test_hourly_rows_show_the_hour_twice() -> None:
    hours = ("01", "02", "02", "03", "04")
    text = file_of(*(f"2026-10-25 {hour}:00" for hour in hours))

    start = AUTUMN_0000Z - 3600
    assert instants(text) == [start + 3600 * n for n in range(5)]


@pytest.mark.parametrize(
    "stamps",
    [
        ("01:40", "02:00", "02:20", "02:40", "03:00"),
        ("01:50", "02:00", "02:00", "02:10", "02:20", "02:30", "03:00", "03:10"),
        ("01:40", "02:20", "02:00", "02:40", "02:10", "03:00"),
    ],
    ids=["once", "a_duplicate_is_not_a_pass", "twice_back"],
)
def test_hour_that_the_rows_do_not_tell_apart_is_refused(
    stamps: tuple[str, ...],
) -> None:
    fill = [f"2026-10-24 {h:02d}:{m}" for h in range(3) for m in ("00", "20", "40")]

    parsed = parse(file_of(*fill, *(f"2026-10-25 {stamp}" for stamp in stamps)))

    doubtful = sum(stamp.startswith("02") for stamp in stamps)
    assert [r.reason for r in parsed.refused] == [Refused.LOCAL_TIME_TWICE] * doubtful
    assert parsed.readings == len(fill) + len(stamps) - doubtful


def test_offset_in_the_stamp_needs_no_order() -> None:
    text = file_of("2026-10-25 02:30+01:00", "2026-10-25 02:30+02:00")

    assert instants(text) == [AUTUMN_0000Z + 1800, AUTUMN_0000Z + 5400]


def test_half_an_hour_of_change_is_half_an_hour() -> None:
    # Lord Howe Island goes from +11:00 to +10:30 at 02:00 on 5 April 2026.
    zone = ZoneInfo("Australia/Lord_Howe")
    stamps = ("01:20", "01:40", "01:30", "01:50", "02:10")
    text = file_of(*(f"2026-04-05 {stamp}" for stamp in stamps))

    found = instants(text, site_zone=zone)

    assert [b - a for a, b in pairwise(found)] == [1200] * 4


def test_change_at_midnight_belongs_to_its_day() -> None:
    # Asuncion-like changes at midnight: Havana skips 00:00 to 01:00 on 8 March 2026.
    zone = ZoneInfo("America/Havana")
    text = file_of("2026-03-07 23:30", "2026-03-08 00:30", "2026-03-08 01:00")

    parsed = parse(text, site_zone=zone)

    assert [(r.line, r.reason) for r in parsed.refused] == [
        (3, Refused.LOCAL_TIME_SKIPPED)
    ]
    assert (parsed.channels[0].at[1] - parsed.channels[0].at[0]) == 1800


def test_channels_in_turn_are_told_apart_each_for_itself() -> None:
    hours = ("01", "02", "02", "03")
    rows = [f"2026-10-25 {h}:00,{s},2{n}\n" for n, h in enumerate(hours) for s in "AB"]

    parsed = parse("Time,Sensor,Temp °C\n" + "".join(rows))

    start = AUTUMN_0000Z - 3600
    assert [(c.channel, c.at.tolist()) for c in parsed.channels] == [
        ("A", [start + 3600 * n for n in range(4)]),
        ("B", [start + 3600 * n for n in range(4)]),
    ]
