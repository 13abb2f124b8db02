"""The calendar of a packet, read back by icalendar and by vobject."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import icalendar
import pytest
import vobject
from django.conf import settings

from core.events import AllDay, Event
from core.feeds import write_feed
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.vocabulary import DatePrecision, FeedingOrderKind
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import Document
from placements.rules.packets.events import calendar_events
from placements.rules.packets.facts import CareOnRecord, Leaving
from placements.rules.packets.leaving import PaperLine
from placements.rules.packets.needs import ProfileVersion
from placements.rules.packets.routines import FeedingOrderLine
from placements.rules.vocabulary import CitesSource, PaperKind, PlacementKind
from tests.placements.known import ANIMAL, LEAVES_ON, facts

SHIPPED = settings.BASE_DIR / "husbandry" / "profiles" / "veiled_chameleon.yaml"
TEXT = Path(SHIPPED).read_text(encoding="utf-8")
VERSION = ProfileVersion(1, "0" * 64, read_profile(TEXT, name=SHIPPED.name))
AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)


def document(**more: object) -> Document:
    return build_document(facts(**{"profile": VERSION, **more}))


def on(day: date, events: tuple[Event, ...]) -> dict[str, str]:
    return {
        e.summary: e.description
        for e in events
        if isinstance(e.when, AllDay) and e.when.from_on == day
    }


def test_every_day_of_the_year_is_read_back_by_icalendar() -> None:
    found = document()
    events = calendar_events(found)

    feed = icalendar.Calendar.from_ical(write_feed(events, name="Juno", at=AT))

    read = [
        (str(e["summary"]), e["dtstart"].dt, e["dtend"].dt) for e in feed.walk("VEVENT")
    ]
    assert len(read) == len(events) == 246
    fed = [begin for summary, begin, _ in read if summary.startswith("Juno: feed")]
    assert fed == [day for month in found.months for day in month.feed_on]
    assert all(end == begin + timedelta(days=1) for _, begin, end in read)
    assert all("RRULE" not in e for e in feed.walk("VEVENT"))


def test_every_day_of_the_year_is_read_back_by_vobject() -> None:
    events = calendar_events(document())

    feed = vobject.readOne(write_feed(events, name="Juno", at=AT).decode())

    read = [(e.summary.value, e.dtstart.value) for e in feed.vevent_list]
    assert read == [
        (e.summary, e.when.from_on) for e in events if isinstance(e.when, AllDay)
    ]
    assert len({e.uid.value for e in feed.vevent_list}) == len(events)


def test_what_stands_on_single_days() -> None:
    events = calendar_events(document())

    assert on(date(2026, 4, 1), events) == {
        "Juno: feed, with Multivitamin with vitamin D3": (
            "10–15 small insects.\nDusted with: Multivitamin with vitamin D3.\n"
            "An arrangement to start from; the packet says on what it rests."
        )
    }
    assert set(on(date(2026, 4, 3), events)) == {
        "Juno: feed",
        "Juno: weigh",
        "Juno: two weeks in its new home",
    }
    assert set(on(date(2026, 9, 20), events)) == {"Juno: replace the UVB tube"}
    adult = on(date(2026, 9, 1), events)["Juno: adult from today"]
    assert "Food: 3–4 insects, every 2–3 days" in adult.splitlines()
    assert on(date(2027, 3, 20), events) == {
        "Juno: twelve months in its new home": "Willow Bend Reptiles asks how it is "
        "doing."
    }


def test_stage_of_an_animal_whose_age_is_about_known_is_about() -> None:
    about = replace(ANIMAL, hatched_precision=DatePrecision.MONTH)

    events = calendar_events(document(animal=about))

    assert "Juno: adult from today (about this day)" in on(date(2026, 9, 1), events)


def test_paper_that_ends_is_on_its_last_day() -> None:
    papers = tuple(
        PaperLine(PaperKind.CITES_PERMIT, number, CitesSource.WILD, "", None, until)
        for number, until in (
            ("A-1", date(2026, 12, 31)),
            ("A-2", date(2026, 3, 19)),  # over before it leaves
            ("A-3", None),
        )
    )

    events = calendar_events(document(leaving=Leaving(papers=papers)))

    assert [e.summary for e in events if "ends" in e.summary] == [
        "Juno: cites permit A-1 ends today"
    ]


def test_food_by_hand_is_not_dusted() -> None:
    by_hand = FeedingOrderLine(
        FeedingOrderKind.ASSIST, LEAVES_ON, date(2026, 4, 2), 1, 2, "mL", "weak"
    )

    events = calendar_events(document(care=CareOnRecord(orders=(by_hand,))))

    assert on(date(2026, 4, 1), events) == {
        "Juno: feed": "2 mL.\nAn arrangement to start from; the packet says on what it "
        "rests."
    }


def test_without_a_care_profile_only_the_follow_ups_stand() -> None:
    events = calendar_events(document(profile=None))

    assert [e.when for e in events] == [
        AllDay(day, day)
        for day in (date(2026, 4, 3), date(2026, 6, 20), date(2027, 3, 20))
    ]


def test_loan_ends_on_a_day() -> None:
    leaving = Leaving(due_back_on=date(2026, 6, 30))

    events = calendar_events(document(kind=PlacementKind.LOAN, leaving=leaving))

    assert "Juno: goes back today" in on(date(2026, 6, 30), events)


def test_release_has_an_empty_calendar() -> None:
    assert calendar_events(document(kind=PlacementKind.RELEASE)) == ()


def test_keys_stay_from_version_to_version_and_differ_between_animals() -> None:
    first = {e.key for e in calendar_events(document())}
    other = document(animal=replace(ANIMAL, code="V 0417"))

    assert first == {e.key for e in calendar_events(document(keeper="Renamed"))}
    assert first.isdisjoint(e.key for e in calendar_events(other))
    assert all(re.fullmatch(r"[a-z0-9-]+", key) for key in first)


@pytest.mark.parametrize("leaves_on", [date(2026, 11, 30), date(2027, 8, 31)])
def test_follow_ups_end_with_the_month_where_it_has_no_such_day(
    leaves_on: date,
) -> None:
    """By ISO 8601: P14D is fourteen days; three months on, February has no 30th."""
    expected = {
        date(2026, 11, 30): [date(2026, 12, 14), date(2027, 2, 28), date(2027, 11, 30)],
        date(2027, 8, 31): [date(2027, 9, 14), date(2027, 11, 30), date(2028, 8, 31)],
    }

    found = document(on=leaves_on).follow_ups

    assert [line.on for line in found] == expected[leaves_on]
