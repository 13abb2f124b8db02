"""Calendars as other programs read them (RFC 5545)."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from unicodedata import category

import icalendar

from core.events import AllDay, Event

PRODUCT = "-//Spurbook//Care calendar//EN"
# A domain that can never be one (RFC 6761): entries tell nobody where they come from.
DOMAIN = "spurbook.invalid"
READ_AGAIN = timedelta(hours=1)


def write_feed(events: Iterable[Event], *, name: str, at: datetime) -> bytes:
    """Return a calendar as a file.

    Args:
        events: in the order in which they are written; no key twice.
        name: what the calendar is called; written as one line.
        at: when the entries were made; written as their stamp.

    Returns:
        UTF-8, lines ended by CR LF and folded at 75 octets. Timed entries are in
        UTC, so no rule of a time zone is needed to read them; entries of whole days
        are dates, which no zone moves. It has no METHOD: it is a feed, not an
        invitation.

    Source:
        rfc-5545.
    """
    feed = icalendar.Calendar()
    feed.add("prodid", PRODUCT)
    feed.add("version", "2.0")
    # A property of no standard: the library takes it as it is, unless told its type.
    feed.add("x-wr-calname", icalendar.vText(" ".join(_text(name).split())))
    feed.add("refresh-interval", READ_AGAIN, parameters={"VALUE": "DURATION"})
    for event in events:
        feed.add_component(_entry(event, at.astimezone(UTC)))
    return bytes(feed.to_ical(sorted=False))


def _entry(event: Event, at: datetime) -> icalendar.Event:
    entry = icalendar.Event()
    entry.add("uid", f"{event.key}@{DOMAIN}")
    entry.add("dtstamp", at.replace(microsecond=0))
    if isinstance(event.when, AllDay):
        entry.add("dtstart", event.when.from_on)
        # The end of whole days is the day after the last.
        entry.add("dtend", event.when.until_on + timedelta(days=1))
        # Whole days remind; they do not make anybody busy.
        entry.add("transp", "TRANSPARENT")
    else:
        entry.add("dtstart", event.when.from_at.astimezone(UTC))
        entry.add("dtend", event.when.until_at.astimezone(UTC))
    entry.add("summary", _text(event.summary))
    if event.description:
        entry.add("description", _text(event.description))
    if event.location:
        entry.add("location", _text(event.location))
    return entry


def _text(text: str) -> str:
    """Return a text without the control characters that a calendar cannot hold."""
    return "".join(c for c in text if c in "\n\t" or category(c) != "Cc")
