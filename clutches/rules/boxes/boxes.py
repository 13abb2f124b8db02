"""Whether a box can be as recorded, stand where it is said to, and be retired."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from clutches.rules.boxes.places import MOST_LINES
from core.errors import DomainError

LONGEST_CODE = 20
LARGEST_G = Decimal("999999.9")
STEP_G = Decimal("0.1")


class BoxError(DomainError):
    """An egg box cannot be as asked."""

    code = "box_refused"


@dataclass(frozen=True, slots=True)
class StandingBox:
    """A box as it stands.

    Attributes:
        made_on: local day on which it was made up.
        incubator: code of the incubator in which it stands; "": in none.
        since_at: when it came there, or None.
        last_until_at: when its last finished stay ended, or None.
    """

    code: str
    made_on: date
    retired_on: date | None
    incubator: str
    since_at: datetime | None
    last_until_at: datetime | None


@dataclass(frozen=True, slots=True)
class Shelf:
    """An enclosure into which a box is to go."""

    code: str
    is_incubator: bool
    retired_on: date | None


def check_box(
    *, code: str, rows: int, columns: int, made_on: date, today: date
) -> None:
    """Refuse a box that cannot be.

    Args:
        code: as on its label, 1 to 20 characters without a slash, which an address
            cannot hold.
        rows: 1 to 26.
        columns: 1 to 26.
        made_on: the local day on which it was made up.
        today: the latest local day that has begun anywhere.

    Raises:
        BoxError: the sentence names the value and what would be accepted.
    """
    if not 0 < len(code) <= LONGEST_CODE or "/" in code:
        raise BoxError(
            f"{code!r} is no code for a box: give 1 to {LONGEST_CODE} characters, as "
            "on its label, and no slash.",
            fields={"code": f"1 to {LONGEST_CODE} characters without a slash"},
        )
    for name, lines in (("rows", rows), ("columns", columns)):
        if not 1 <= lines <= MOST_LINES:
            raise BoxError(
                f"A box of {lines} {name} cannot be; give 1 to {MOST_LINES}.",
                fields={name: f"1 to {MOST_LINES}"},
            )
    if made_on > today:
        raise BoxError(
            f"{made_on:%d %b %Y} has not come yet; give the day on which the box was "
            "made up.",
            fields={"made_on": f"until {today}"},
        )


def round_grams(name: str, mass_g: Decimal | None) -> Decimal | None:
    """Return a mass about a box as it is kept, to 0.1 g; None stays None.

    Args:
        name: what the input is called where it was given.
        mass_g: more than 0.

    Raises:
        BoxError: it is no number, not above 0 or too large to keep.
    """
    if mass_g is None:
        return None
    if not mass_g.is_finite() or not STEP_G <= mass_g <= LARGEST_G:
        raise BoxError(
            f"{mass_g} g cannot be; give {STEP_G} to {LARGEST_G} g, or leave it empty.",
            fields={name: f"{STEP_G} to {LARGEST_G}, or empty"},
        )
    return mass_g.quantize(STEP_G)


def check_box_move(
    box: StandingBox,
    *,
    to: Shelf | None,
    moved_at: datetime,
    moved_on: date,
    at: datetime,
) -> None:
    """Refuse a move of a box that cannot have been.

    Args:
        box: as it stands.
        to: the incubator; None: out of the one in which it stands.
        moved_at: when it was moved.
        moved_on: the local day of that.
        at: now; exactly now is not in the future.

    Raises:
        BoxError: the instant is to come or does not fit what is on record, the box
            is retired or was not made up yet, or the place is no incubator in use.
    """
    _check_when(box, moved_at=moved_at, moved_on=moved_on, at=at)
    if to is None:
        if not box.incubator:
            raise BoxError(
                f"Box {box.code} stands in no incubator already; name the one it goes "
                "to.",
                fields={"incubator": "the code of an incubator"},
            )
        return
    if not to.is_incubator:
        raise BoxError(
            f"{to.code} is no incubator; boxes of eggs stand in enclosures of that "
            "kind.",
            fields={"incubator": "the code of an incubator"},
        )
    if box.incubator == to.code:
        raise BoxError(
            f"Box {box.code} stands in {to.code} already.",
            fields={"incubator": "another incubator"},
        )
    if to.retired_on is not None and to.retired_on <= moved_on:
        raise BoxError(
            f"{to.code} was retired on {to.retired_on:%d %b %Y}; choose one in use.",
            fields={"incubator": "an incubator in use"},
        )


def _check_when(
    box: StandingBox, *, moved_at: datetime, moved_on: date, at: datetime
) -> None:
    if moved_at > at:
        raise BoxError(
            f"{moved_at:%Y-%m-%d %H:%M %Z} has not come yet. Record a move once it is "
            "done.",
            fields={"moved_at": "now or earlier"},
        )
    if box.retired_on is not None:
        raise BoxError(
            f"Box {box.code} was retired on {box.retired_on:%d %b %Y}; it stands "
            "nowhere any more.",
            fields={"box": "one in use"},
        )
    if moved_on < box.made_on:
        raise BoxError(
            f"Box {box.code} was made up on {box.made_on:%d %b %Y}; it cannot have "
            f"been moved on {moved_on:%d %b %Y}.",
            fields={"moved_at": f"from {box.made_on} on"},
        )
    if box.since_at is not None and moved_at <= box.since_at:
        raise BoxError(
            f"Box {box.code} came to {box.incubator} at "
            f"{box.since_at:%Y-%m-%d %H:%M %Z}; it can only be moved after that.",
            fields={"moved_at": f"after {box.since_at.isoformat()}"},
        )
    if box.last_until_at is not None and moved_at < box.last_until_at:
        raise BoxError(
            f"Box {box.code} stood elsewhere until "
            f"{box.last_until_at:%Y-%m-%d %H:%M %Z}; give that instant or a later one.",
            fields={"moved_at": f"{box.last_until_at.isoformat()} or later"},
        )


def check_retirement(
    box: StandingBox, *, on: date, today: date, eggs: int, last_egg_on: date | None
) -> None:
    """Refuse to retire a box that is not empty.

    Args:
        box: as it stands.
        on: local day on which it was emptied for good.
        today: the local day of now where it stands.
        eggs: how many lie in it.
        last_egg_on: local day on which the last egg left it; None: none ever lay in it.

    Raises:
        BoxError: eggs lie in it or still lay in it on that day's end, it is retired
            already, or the day is to come or before it was made up.
    """
    if box.retired_on is not None:
        raise BoxError(
            f"Box {box.code} was retired on {box.retired_on:%d %b %Y} already.",
            fields={"box": "one in use"},
        )
    if eggs:
        verb = "egg lies" if eggs == 1 else "eggs lie"
        raise BoxError(
            f"{eggs} {verb} in box {box.code}; move them into another box first, or "
            "say what became of them.",
            fields={"box": "one in which no egg lies"},
        )
    if on > today or on < box.made_on:
        raise BoxError(
            f"Box {box.code} was made up on {box.made_on:%d %b %Y}; it can be retired "
            f"on a day from then until today, not on {on:%d %b %Y}.",
            fields={"on": f"{box.made_on} to {today}"},
        )
    if last_egg_on is not None and on < last_egg_on:
        raise BoxError(
            f"An egg still lay in box {box.code} on {last_egg_on:%d %b %Y}; retire it "
            "on that day or later.",
            fields={"on": f"from {last_egg_on} on"},
        )
