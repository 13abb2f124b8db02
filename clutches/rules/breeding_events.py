"""Breeding as entries of a calendar: laying, candling, hatching, second looks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clutches.rules.layings.windows import ExpectedLaying, NextClutch
from clutches.rules.vocabulary import ClutchKind, LayingSign
from core.events import AllDay, Event
from husbandry.rules.care_events import LAYING, VET
from husbandry.rules.sentences import numbers

DAYS_BACK = 7
BEARING = (
    "Leave her in peace, and have room for the young ready. If she is weak, strains, or "
    "stops part-way, call a licensed reptile vet."
)
CANDLING = (
    "From today on an egg without vessels can be told from one that rests. Candle "
    "without turning it over; in doubt it stays."
)
HATCHING = (
    "A window, not a day: have tubs, first food and water ready. Help no hatchling out; "
    "what comes out rests in the box until its yolk is taken in."
)
STORED = (
    "Stored sperm can make another clutch without a male, and females lay without any. "
    "Keep a place to dig ready."
)
LOOKING = (
    "Somebody who has not looked yet looks at both heels with a lens, handling it as "
    "briefly as can be."
)


@dataclass(frozen=True, slots=True)
class LayingAhead:
    """A female of whom a laying is expected, or possible again.

    Attributes:
        place: room and enclosure; "" where she has none.
    """

    animal: int
    label: str
    place: str
    expected: ExpectedLaying | None
    next_clutch: NextClutch | None


@dataclass(frozen=True, slots=True)
class EggsAhead:
    """Eggs of one clutch that are still to hatch, in one box or in none.

    Attributes:
        box: code; "" where they lie in none.
        likely_on: of a forecast; None: only the care profile's window is known.
        earliest_on, latest_on: None: nothing says when.
        candle_from: day from which candling tells; None: not said.
    """

    clutch: int
    clutch_code: str
    box: str
    eggs: int
    earliest_on: date | None
    likely_on: date | None
    latest_on: date | None
    candle_from: date | None


@dataclass(frozen=True, slots=True)
class LookAhead:
    """A hatchling whose heels want another look."""

    animal: int
    label: str


def breeding_events(
    layings: Sequence[LayingAhead],
    eggs: Sequence[EggsAhead],
    looks: Sequence[LookAhead],
    *,
    on: date,
) -> tuple[Event, ...]:
    """Return what is ahead in breeding as entries of a calendar.

    Entries that ended more than a week ago are left out; nothing is too far ahead.
    Females of whom no more than a gravid sign is known are entered with their care
    where they lay eggs, and not here again.

    Args:
        layings: of females.
        eggs: of clutches, each clutch and box once.
        looks: at hatchlings.
        on: today.

    Source:
        laying-window-convention; care-task-convention for how far back.
    """
    first_on = on - timedelta(days=DAYS_BACK)
    found = (
        *(event for one in layings for event in _layings(one)),
        *(event for one in eggs for event in _hatching(one)),
        *_candling(eggs),
        *(_look(one, on) for one in looks),
    )
    return tuple(
        event
        for event in found
        if isinstance(event.when, AllDay) and event.when.until_on >= first_on
    )


def _layings(one: LayingAhead) -> Iterator[Event]:
    expected, again = one.expected, one.next_clutch
    if expected is not None:
        bears = expected.kind is ClutchKind.LIVE_YOUNG
        if bears or expected.because is not LayingSign.GRAVID:
            yield Event(
                key=f"breeding-laying-{one.animal}-{expected.since_on}",
                when=AllDay(expected.window_from, expected.window_until),
                summary=f"{one.label} may {'bear' if bears else 'lay'} "
                f"({_because(expected)})",
                description=BEARING if bears else _LAYING,
                location=one.place,
            )
    elif again is not None:
        yield Event(
            key=f"breeding-again-{one.animal}-{again.from_on}",
            when=AllDay(again.from_on, again.from_on),
            summary=f"{one.label} may lay again from today on, also without a male",
            description=STORED,
            location=one.place,
        )


# The first sentence there is about counting from a gravid sign.
_LAYING = LAYING.partition(". ")[2]


def _because(expected: ExpectedLaying) -> str:
    on = numbers.day(expected.since_on.isoformat())
    if expected.because is LayingSign.GRAVID:
        return f"gravid since {on}"
    if expected.because is LayingSign.NOT_WATCHED:
        return f"put together with {expected.sire} on {on}, nobody watched"
    return f"mated, last put together with {expected.sire} on {on}"


def _hatching(one: EggsAhead) -> Iterator[Event]:
    if one.earliest_on is None or one.latest_on is None:
        return
    likely = "by the care profile's window alone"
    if one.likely_on is not None:
        likely = f"most likely about {numbers.day(one.likely_on.isoformat())}"
    yield Event(
        key=f"breeding-hatch-{one.clutch}-{_slug(one.box)}",
        when=AllDay(one.earliest_on, one.latest_on),
        summary=f"{_where(one)}: {_eggs(one.eggs)} may hatch ({likely})",
        description=HATCHING,
        location=one.box,
    )


def _candling(eggs: Sequence[EggsAhead]) -> Iterator[Event]:
    """Yield one entry a clutch, in whatever boxes its eggs lie."""
    seen: set[int] = set()
    for one in eggs:
        if one.candle_from is not None and one.clutch not in seen:
            seen.add(one.clutch)
            yield Event(
                key=f"breeding-candle-{one.clutch}",
                when=AllDay(one.candle_from, one.candle_from),
                summary=f"Candle {one.clutch_code}",
                description=CANDLING,
            )


def _look(one: LookAhead, on: date) -> Event:
    return Event(
        key=f"breeding-look-{one.animal}",
        when=AllDay(on, on),
        summary=f"{one.label}: look at the heels again",
        description=f"{LOOKING} {VET}",
    )


def _where(one: EggsAhead) -> str:
    return f"{one.clutch_code} in box {one.box}" if one.box else one.clutch_code


def _eggs(number: int) -> str:
    return "1 egg" if number == 1 else f"{number} eggs"


def _slug(code: str) -> str:
    """Return a box's code as keys take it: no two codes give the same."""
    return code.encode().hex() if code else "none"
