"""The order in which a site is walked: rooms, enclosures, animals."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CareFacts,
    ChoreFact,
)


@dataclass(frozen=True, slots=True)
class Place:
    """One enclosure with its animals by code; None: those without an enclosure."""

    enclosure: CaredEnclosure | None
    animals: tuple[CaredAnimal, ...]


@dataclass(frozen=True, slots=True)
class Walk:
    """Places in the order in which they are walked, and what was done there.

    Attributes:
        places: enclosures without animals are not among them.
        chores: by the key of the enclosure or of the room.
    """

    places: tuple[Place, ...]
    enclosures: Mapping[int, Sequence[ChoreFact]]
    rooms: Mapping[int, Sequence[ChoreFact]]

    def by_room(self) -> Iterator[tuple[int | None, list[Place]]]:
        """Yield the key of each room with its places; None: those in no room."""
        for room, places in groupby(self.places, key=_room_of):
            yield room, list(places)

    def enclosure_chores(self, enclosure: int) -> Sequence[ChoreFact]:
        """Return what was done for one enclosure."""
        return self.enclosures.get(enclosure, ())

    def room_chores(self, room: int) -> Sequence[ChoreFact]:
        """Return what was done for one room."""
        return self.rooms.get(room, ())


def walk_of(facts: CareFacts) -> Walk:
    """Return a site in walking order: rooms of quarantine last, then no enclosure.

    Within a room, enclosures where somebody is in quarantine come last.

    Args:
        facts: in any order.

    Source:
        quarantine-guidance.
    """
    last = facts.kept_apart
    housed: dict[int | None, list[CaredAnimal]] = defaultdict(list)
    for animal in facts.animals:
        housed[animal.enclosure].append(animal)
    occupied = [facts.enclosures[key] for key in housed if key is not None]
    places = [
        Place(enclosure, _by_code(housed[enclosure.id]))
        for enclosure in sorted(occupied, key=lambda e: _step(facts, e, last))
    ]
    if None in housed:
        places.append(Place(None, _by_code(housed[None])))
    enclosures: dict[int, list[ChoreFact]] = defaultdict(list)
    rooms: dict[int, list[ChoreFact]] = defaultdict(list)
    for chore in facts.chores:
        if chore.enclosure is not None:
            enclosures[chore.enclosure].append(chore)
        elif chore.room is not None:
            rooms[chore.room].append(chore)
    return Walk(
        places=tuple(places),
        enclosures=enclosures,
        rooms=rooms,
    )


def _room_of(place: Place) -> int | None:
    return place.enclosure.room if place.enclosure else None


def _step(
    facts: CareFacts, enclosure: CaredEnclosure, last: Collection[int | None]
) -> tuple[bool, int, str, int, bool, int, str, int]:
    room = facts.rooms[enclosure.room]
    return (
        room.quarantine,
        room.position,
        room.code,
        room.id,
        enclosure.id in last,
        enclosure.position,
        enclosure.code,
        enclosure.id,
    )


def _by_code(animals: list[CaredAnimal]) -> tuple[CaredAnimal, ...]:
    return tuple(sorted(animals, key=lambda animal: (animal.code, animal.id)))
