"""The days of a packet as entries of a calendar (RFC 5545), each on a date of its own.

Dates, not recurrences: feeding days change with the life stage, supplements move to
the next feeding, and a reader of calendars shows what stands there.
"""

import re
from collections.abc import Iterator
from datetime import date
from hashlib import sha256

from core.events import AllDay, Event
from husbandry.rules.vocabulary import FeedingOrderKind, LampKind
from placements.rules.packets.documents import Document
from placements.rules.packets.routines import (
    FeedingSpell,
    LampWork,
    MonthPlan,
    SupplementDays,
)
from placements.rules.packets.words import number_range
from placements.rules.vocabulary import FollowUpKind

LAMPS = {LampKind.UVB_TUBE: "UVB tube", LampKind.HEAT: "heat lamp"}
AFTER = {
    FollowUpKind.TWO_WEEKS: "two weeks",
    FollowUpKind.THREE_MONTHS: "three months",
    FollowUpKind.TWELVE_MONTHS: "twelve months",
}
ARRANGEMENT = "An arrangement to start from; the packet says on what it rests."


def calendar_events(document: Document) -> tuple[Event, ...]:
    """Return the first twelve months in the new home as entries of a calendar.

    Args:
        document: of a packet; one without a care plan has follow-ups at most.

    Returns:
        In order of day; whole days, which no time zone moves. The key of an entry
        names the animal, the matter and the day, so a corrected packet replaces the
        entries of the one before it.

    Source:
        rfc-5545
    """
    who = document.animal.name or document.animal.code
    found = [
        *(e for month in document.months for e in _of_month(document, month, who)),
        *_follow_ups(document, who),
        *_papers(document, who),
    ]
    return tuple(sorted(found, key=lambda event: (_first_on(event), event.key)))


def _of_month(document: Document, month: MonthPlan, who: str) -> Iterator[Event]:
    yield from _feedings(document, month, who)
    for on in month.weigh_on:
        text = "Before feeding; write it down and look at the trend, not at one number."
        yield _event(document, "weigh", on, f"{who}: weigh", text)
    changes = (
        {change.on: change for change in document.plan.changes}
        if (document.plan)
        else {}
    )
    for begin in month.begins:
        about = " (about this day)" if begin.about else ""
        change = changes.get(begin.on)
        lines = [f"{c.what}: {c.then}" for c in change.changes] if change else []
        yield _event(
            document,
            "stage",
            begin.on,
            f"{who}: {begin.stage.lower()} from today{about}",
            "\n".join(lines),
        )
    for lamp in month.lamps:
        what = "measure" if lamp.work is LampWork.MEASURE else "replace"
        yield _event(
            document,
            f"{lamp.lamp.value}-{lamp.work.value}",
            lamp.on,
            f"{who}: {what} the {LAMPS[lamp.lamp]}",
            "Counted from a new lamp on the first day. Switch off and unplug before "
            "a lamp is changed.",
        )


def _feedings(document: Document, month: MonthPlan, who: str) -> Iterator[Event]:
    for on in month.feed_on:
        due = [s for s in month.supplements if on in s.on]
        names = " and ".join(s.name for s in due)
        spell = next(s for s in month.feeding if s.from_on <= on <= s.until_on)
        yield _event(
            document,
            "feed",
            on,
            f"{who}: feed, with {names}" if names else f"{who}: feed",
            "\n".join([*_meal(spell, month, due), ARRANGEMENT]),
        )


def _meal(
    spell: FeedingSpell, month: MonthPlan, due: list[SupplementDays]
) -> Iterator[str]:
    if spell.portion_high:
        portion = number_range(spell.portion_low, spell.portion_high)
        yield f"{portion} {spell.unit}."
    replaced = {s.instead_of for s in due}
    dust = [
        *(name for name in month.every_feeding if name not in replaced),
        *(s.name for s in due),
    ]
    if dust and spell.agreed is not FeedingOrderKind.ASSIST:
        yield f"Dusted with: {', '.join(dust)}."


def _follow_ups(document: Document, who: str) -> Iterator[Event]:
    keeper = document.keeper or "Whoever gave it to you"
    for follow_up in document.follow_ups:
        yield _event(
            document,
            "follow-up",
            follow_up.on,
            f"{who}: {AFTER[follow_up.kind]} in its new home",
            f"{keeper} asks how it is doing.",
        )
    if document.due_back_on is not None:
        yield _event(
            document,
            "due-back",
            document.due_back_on,
            f"{who}: goes back today",
            "Agree on the hour beforehand, and bring this packet.",
        )


def _papers(document: Document, who: str) -> Iterator[Event]:
    for place, paper in enumerate(document.papers):
        if paper.valid_until is not None and paper.valid_until >= document.on:
            kind = paper.kind.value.replace("_", " ")
            yield _event(
                document,
                f"paper-{place}",
                paper.valid_until,
                f"{who}: {kind} {paper.number} ends today",
                "Renew it in time, if it is still needed.",
            )


def _event(document: Document, matter: str, on: date, summary: str, text: str) -> Event:
    code = document.animal.code
    # Two codes may look alike once only letters and digits are left of them.
    mark = sha256(code.encode()).hexdigest()[:8]
    slug = re.sub(r"[^a-z0-9]+", "-", f"{code} {matter}".lower()).strip("-")
    return Event(f"home-{slug}-{mark}-{on:%Y%m%d}", AllDay(on, on), summary, text)


def _first_on(event: Event) -> date:
    return event.when.from_on if isinstance(event.when, AllDay) else date.max
