"""One entry for a whole rack: whom it is about, by a room or by enclosures."""

from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Protocol

from msgspec import Meta

from api.care_structs import ROOM
from api.errors import RefusedError
from api.named import room_named
from husbandry.queries.housed import (
    Housed,
    housed_in_enclosures,
    housed_in_room,
    unknown_enclosures,
)

MOST_CODES = 500
RENAMED = {"except_": "except"}
Codes = Annotated[tuple[str, ...], Meta(max_length=MOST_CODES)]
RACK_ROOM = ROOM | None
ENCLOSURES = Annotated[
    Annotated[tuple[str, ...], Meta(min_length=1, max_length=MOST_CODES)] | None,
    Meta(description="Codes of enclosures, instead of a room."),
]
EXCEPT = Annotated[Codes, Meta(description="Codes of animals that are left out.")]


class Rack(Protocol):
    """What is sent for a whole rack."""

    @property
    def at(self) -> datetime | None:
        """When; None: now."""

    @property
    def room(self) -> str | None:
        """Which room, as `site/room`."""

    @property
    def enclosures(self) -> tuple[str, ...] | None:
        """Which enclosures, by their codes."""

    @property
    def except_(self) -> tuple[str, ...]:
        """Which animals are left out, by their codes."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Whom an entry for a rack is about.

    Attributes:
        place: how the rack was named.
        at: the instant at which they stayed there.
        housed: those that it is about.
        left_out: those that were excepted.
        empty: the named enclosures in which nobody stayed.
    """

    place: str
    at: datetime
    housed: tuple[Housed, ...]
    left_out: tuple[Housed, ...]
    empty: tuple[str, ...]


def spread(rack: Rack, *, at: datetime) -> Spread:
    """Return whom an entry for a rack is about; two queries.

    Args:
        rack: as it was sent.
        at: when who stays there counts.

    Raises:
        RefusedError: it names both a room and enclosures or neither, one that there
            is not, or excepts an animal that does not stay there.
    """
    codes = tuple(dict.fromkeys(rack.enclosures or ()))
    if (rack.room is None) is (not codes):
        raise RefusedError(
            "no_rack",
            "Say which rack: a room or some enclosures, one of both.",
            fields={"room": "site/room", "enclosures": "codes of enclosures"},
        )
    if rack.room is not None:
        place, found = rack.room, housed_in_room(room=room_named(rack.room), at=at)
    else:
        _check_known(codes)
        place, found = ", ".join(codes), housed_in_enclosures(codes=codes, at=at)
    _check_there(rack.except_, found, place)
    there = {one.enclosure for one in found}
    return Spread(
        place=place,
        at=at,
        housed=tuple(one for one in found if one.animal not in rack.except_),
        left_out=tuple(one for one in found if one.animal in rack.except_),
        empty=tuple(code for code in codes if code not in there),
    )


def nobody(who: Spread) -> RefusedError:
    """Return the refusal of an entry that is about nobody."""
    left_out = " but those that are left out" if who.left_out else ""
    return RefusedError(
        "nobody_there",
        f"Nobody stayed in {who.place} at {who.at:%Y-%m-%d %H:%M %Z}{left_out}: there "
        "is nothing to record. Look at the instant and the place.",
        status=HTTPStatus.CONFLICT,
    )


def _check_known(codes: tuple[str, ...]) -> None:
    if unknown := unknown_enclosures(codes=codes):
        raise RefusedError(
            "unknown_enclosure",
            f"There is no enclosure {', '.join(map(repr, unknown))}; nothing was "
            "recorded. Give the codes on their labels.",
            fields={"enclosures": "codes of enclosures"},
        )


def _check_there(codes: tuple[str, ...], found: tuple[Housed, ...], place: str) -> None:
    there = [one.animal for one in found]
    if away := [code for code in codes if code not in there]:
        known = ", ".join(there) or "nobody"
        raise RefusedError(
            "not_there",
            f"Left out is {', '.join(away)}, but in {place} stays {known}; nothing was "
            "recorded. Whoever is left out must be one of them.",
            fields={"except": f"some of {known}"},
        )
