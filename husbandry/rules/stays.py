"""Whether an animal can move, and which place it gets where others live already."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from core.errors import DomainError
from husbandry.rules.animals import not_in_care
from husbandry.rules.profiles.values import CompanyRule
from husbandry.rules.vocabulary import AnimalStatus


class MoveError(DomainError):
    """An animal cannot be moved as asked."""

    code = "move_refused"


class EnclosureOccupiedError(MoveError):
    """Another animal lives in the enclosure and no company is allowed."""

    code = "enclosure_occupied"


class BreaksQuarantineError(MoveError):
    """The move would bring together who is in quarantine and who is not."""

    code = "breaks_quarantine"


@dataclass(frozen=True, slots=True)
class Mover:
    """The animal that is to move, as it stands.

    Attributes:
        label: code and name, as people say them.
        status: whether it is here to be cared for.
        enclosure: where it is, or None.
        enclosure_code: the same, as on the label; "" where it is nowhere.
        since_at: when it came there, or None.
        last_until_at: when its last finished stay ended, or None.
        company: what its profile says of company at its stage; None: nothing.
        room: of its enclosure, or None.
        in_quarantine: from the day of the move on.
    """

    label: str
    species: int
    status: AnimalStatus
    enclosure: int | None
    enclosure_code: str
    since_at: datetime | None
    last_until_at: datetime | None
    company: CompanyRule | None
    room: int | None = None
    in_quarantine: bool = False


@dataclass(frozen=True, slots=True)
class Occupant:
    """An animal that lives in the enclosure already; place None: in all of it."""

    stay: int
    label: str
    species: int
    place: int | None
    company: CompanyRule | None


@dataclass(frozen=True, slots=True)
class Destination:
    """The enclosure an animal is to move into.

    Attributes:
        room: its key; `room_name` as people call it.
        keeps_apart: the room is marked for quarantine.
        held: codes of animals in quarantine that live in the room.
    """

    id: int
    code: str
    retired_on: date | None
    room: int | None = None
    room_name: str = ""
    keeps_apart: bool = False
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Places:
    """Who gets which place.

    Attributes:
        mover: the mover's place; None: it has the whole enclosure.
        given: (stay, place) of occupants that had the whole of it so far.
    """

    mover: int | None
    given: tuple[tuple[int, int], ...]


def check_instant(mover: Mover, *, moved_at: datetime, at: datetime) -> None:
    """Refuse a move at an instant at which it cannot have been.

    Args:
        mover: the animal as it stands.
        moved_at: when it moved.
        at: now; exactly now is not in the future.

    Raises:
        MoveError: the instant is to come, or not after the current stay began, or
            before its last stay ended.
    """
    if moved_at > at:
        raise MoveError(
            f"{moved_at:%Y-%m-%d %H:%M %Z} has not come yet. Record a move once it "
            "is done.",
            fields={"moved_at": "now or earlier"},
        )
    if mover.since_at is not None and moved_at <= mover.since_at:
        raise MoveError(
            f"{mover.label} came to {mover.enclosure_code} at "
            f"{mover.since_at:%Y-%m-%d %H:%M %Z}; it can only leave after that, not "
            f"at {moved_at:%Y-%m-%d %H:%M %Z}.",
            fields={"moved_at": f"after {mover.since_at.isoformat()}"},
        )
    if mover.last_until_at is not None and moved_at < mover.last_until_at:
        raise MoveError(
            f"{mover.label} was still elsewhere until "
            f"{mover.last_until_at:%Y-%m-%d %H:%M %Z}; give that instant or a later "
            "one.",
            fields={"moved_at": f"{mover.last_until_at.isoformat()} or later"},
        )


def check_move(mover: Mover, *, to: Destination | None, moved_on: date) -> None:
    """Refuse a move that cannot be, whoever lives where.

    Args:
        mover: the animal as it stands.
        to: where to; None: out of its enclosure, into none.
        moved_on: the local day of the move.

    Raises:
        MoveError: it is not in care, is there already, is nowhere and goes
            nowhere, or the enclosure is retired.
        BreaksQuarantineError: see `check_kept_apart`.
    """
    if mover.status is not AnimalStatus.IN_CARE:
        raise MoveError(
            f"{not_in_care(mover.label, mover.status)} It cannot be moved.",
            fields={"animal": "one in care"},
        )
    if to is None:
        if mover.enclosure is None:
            raise MoveError(
                f"{mover.label} is in no enclosure already; name the one it goes to.",
                fields={"to": "an enclosure"},
            )
        return
    if mover.enclosure == to.id:
        raise MoveError(
            f"{mover.label} is in {to.code} already.",
            fields={"to": "another enclosure"},
        )
    if to.retired_on is not None and to.retired_on <= moved_on:
        raise MoveError(
            f"{to.code} was retired on {to.retired_on:%d %b %Y}; choose one in use.",
            fields={"to": "an enclosure in use"},
        )
    check_kept_apart(mover, to=to)


def check_kept_apart(mover: Mover, *, to: Destination) -> None:
    """Refuse a move that would end a quarantine without anybody's saying so.

    Within a room nothing changes: whoever lives there breathes the same air already.
    Out of every enclosure, as to a vet, an animal in quarantine may always go.

    Args:
        mover: the animal as it stands.
        to: where to.

    Raises:
        BreaksQuarantineError: it is in quarantine and the room is not marked for
            that, or it is not, and animals in quarantine live in the room.

    Source:
        quarantine-guidance.
    """
    if mover.room is not None and mover.room == to.room:
        return
    if mover.in_quarantine and not to.keeps_apart:
        raise BreaksQuarantineError(
            f"{mover.label} is in quarantine, and {to.room_name} is no room of "
            "quarantine. Choose an enclosure in a room that is marked for it, or let "
            "the animal out of quarantine first.",
            fields={"to": "an enclosure in a room of quarantine"},
        )
    if to.held and not mover.in_quarantine:
        raise BreaksQuarantineError(
            f"{', '.join(to.held)} in {to.room_name} "
            f"{'is' if len(to.held) == 1 else 'are'} in quarantine, and {mover.label} "
            "is not. Choose another room, or put it into quarantine as well.",
            fields={"to": "an enclosure in a room where nobody is in quarantine"},
        )


def find_places(
    mover: Mover, *, to: Destination, occupants: Sequence[Occupant]
) -> Places:
    """Give an animal a place in an enclosure, beside others where that is allowed.

    Args:
        mover: the animal as it stands.
        to: where to.
        occupants: who lives there from the instant of the move on.

    Returns:
        Place 1 where the enclosure is empty and its profile allows company, so
        that others can join; None where it lives alone; otherwise the lowest free
        place.

    Raises:
        EnclosureOccupiedError: the profile of one of them wants it alone, allows
            fewer, says nothing of company, or they are of different species.

    Source:
        willems-dvm and ballen-2014, as the profile's company rule names them.
    """
    allowed = _allowed(mover.company)
    if not occupants:
        return Places(1 if allowed > 1 else None, ())
    names = ", ".join(o.label for o in occupants)
    total = len(occupants) + 1
    fewest = min(allowed, *(_allowed(o.company) for o in occupants))
    if any(o.species != mover.species for o in occupants):
        raise _occupied(to, names, f"different species do not share with {mover.label}")
    if fewest <= 1:
        raise _occupied(to, names, "the care profile wants each animal alone")
    if total > fewest:
        raise _occupied(to, names, f"the care profile allows a group of {fewest}")
    taken = {o.place for o in occupants if o.place is not None}
    free = (n for n in range(1, total + 1) if n not in taken)
    given = tuple((o.stay, next(free)) for o in occupants if o.place is None)
    return Places(next(free), given)


def _allowed(company: CompanyRule | None) -> int:
    return 1 if company is None or company.alone else company.max_group


def _occupied(to: Destination, names: str, why: str) -> EnclosureOccupiedError:
    return EnclosureOccupiedError(
        f"{to.code} is occupied by {names}, and {why}. Choose an empty enclosure or "
        "move the occupant first.",
        fields={"to": "an empty enclosure"},
    )
