"""Whether eggs can lie where they are put, and where there is room for them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from clutches.rules.boxes.places import Place, free_places
from clutches.rules.eggs.states import LIVING
from clutches.rules.vocabulary import EggState
from core.errors import DomainError


class PlacingError(DomainError):
    """Eggs cannot be put where they are said to lie."""

    code = "placing_refused"


@dataclass(frozen=True, slots=True)
class EggToPlace:
    """One egg that is to lie somewhere else.

    Attributes:
        label: `egg 7 of C-001`.
        placed_on: local day, where the clutch is, of the instant of placing.
        lies_at: `B3 of BX-1` where it lies now; "": nowhere.
        since_at: from when it lies there, or None.
        last_until_at: when it last ended to lie somewhere, or None.
    """

    label: str
    state: EggState
    laid_on: date
    placed_on: date
    lies_at: str
    since_at: datetime | None
    last_until_at: datetime | None


@dataclass(frozen=True, slots=True)
class BoxToFill:
    """A box into which eggs are to be put.

    Attributes:
        taken: labels of the other eggs that lie, or lay since, at its places.
    """

    code: str
    rows: int
    columns: int
    made_on: date
    retired_on: date | None
    taken: Mapping[Place, str]


def check_eggs_to_place(
    eggs: Sequence[EggToPlace],
    *,
    box: BoxToFill | None,
    placed_at: datetime,
    at: datetime,
    moving: bool,
) -> None:
    """Refuse eggs that cannot have been put somewhere then; all reasons at once.

    Args:
        eggs: all that are put somewhere in one go.
        box: where to; None: out of their boxes.
        placed_at: when.
        at: now; exactly now is not in the future.
        moving: whether they lie somewhere already; else they lie nowhere yet.

    Raises:
        PlacingError: a sentence a line, each with the egg it is about.
    """
    if placed_at > at:
        raise PlacingError(
            f"{placed_at:%Y-%m-%d %H:%M %Z} has not come yet. Record where eggs lie "
            "once they do.",
            fields={"at": "now or earlier"},
        )
    labels = [egg.label for egg in eggs]
    wrong = [
        f"{_upper(label)} is given more than once; each egg lies at one place."
        for label in sorted({one for one in labels if labels.count(one) > 1})
    ]
    wrong += [text for egg in eggs if (text := _wrong(egg, placed_at, moving=moving))]
    if box is not None:
        wrong += _wrong_box(box, eggs)
    if wrong:
        raise PlacingError("\n".join(wrong), fields={"eggs": "see each line"})


def assign_places(
    eggs: Sequence[EggToPlace], box: BoxToFill, wanted: Sequence[Place] | None
) -> tuple[Place, ...]:
    """Return a place for each egg, in the order of the eggs.

    Args:
        eggs: that are put into the box.
        box: with who lies in it else.
        wanted: places in order, at least as many as eggs, all free; None: the free
            ones, row after row from the back.

    Raises:
        PlacingError: there is not enough room, or another egg lies at a place; the
            sentence names the place and the egg.
    """
    if wanted is None:
        free = free_places(tuple(box.taken), rows=box.rows, columns=box.columns)
        if len(free) < len(eggs):
            raise PlacingError(
                f"Box {box.code} has {_places(len(free))} free, and {_eggs(len(eggs))} "
                "need one each. Take a larger box or several.",
                fields={"box": f"one with {len(eggs)} free places"},
            )
        return free[: len(eggs)]
    if len(wanted) < len(eggs):
        raise PlacingError(
            f"{_places(len(wanted))} of box {box.code} are named for "
            f"{_eggs(len(eggs))}; name one for each.",
            fields={"places": f"at least {len(eggs)}"},
        )
    chosen = tuple(wanted[: len(eggs)])
    wrong = [
        f"At {place.label} of box {box.code} lies {box.taken[place]}; choose a free "
        f"place for {egg.label}."
        for egg, place in zip(eggs, chosen, strict=True)
        if place in box.taken
    ]
    if wrong:
        raise PlacingError("\n".join(wrong), fields={"places": "free ones"})
    return chosen


def _wrong(egg: EggToPlace, placed_at: datetime, *, moving: bool) -> str:
    label = _upper(egg.label)
    if egg.state not in LIVING:
        return f"{label} has {egg.state.value} and lies nowhere any more."
    if egg.placed_on < egg.laid_on:
        return (
            f"{label} was laid on {egg.laid_on:%d %b %Y}; it cannot have been put "
            f"anywhere on {egg.placed_on:%d %b %Y}."
        )
    if moving and not egg.lies_at:
        return f"{label} lies in no box; place it instead of moving it."
    if not moving and egg.lies_at:
        return f"{label} lies at {egg.lies_at} already; move it instead of placing it."
    if egg.since_at is not None and placed_at <= egg.since_at:
        return (
            f"{label} came to {egg.lies_at} at {egg.since_at:%Y-%m-%d %H:%M %Z}; it "
            "can only be moved after that."
        )
    if egg.last_until_at is not None and placed_at < egg.last_until_at:
        return (
            f"{label} lay elsewhere until {egg.last_until_at:%Y-%m-%d %H:%M %Z}; give "
            "that instant or a later one."
        )
    return ""


def _wrong_box(box: BoxToFill, eggs: Sequence[EggToPlace]) -> list[str]:
    if box.retired_on is not None:
        return [
            f"Box {box.code} was retired on {box.retired_on:%d %b %Y}; put eggs into "
            "one in use."
        ]
    days = sorted({egg.placed_on for egg in eggs if egg.placed_on < box.made_on})
    return [
        f"Box {box.code} was made up on {box.made_on:%d %b %Y}; no egg can have lain "
        f"in it on {on:%d %b %Y}."
        for on in days
    ]


def _places(number: int) -> str:
    return f"{number} {'place' if number == 1 else 'places'}"


def _eggs(number: int) -> str:
    return f"{number} {'egg' if number == 1 else 'eggs'}"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
