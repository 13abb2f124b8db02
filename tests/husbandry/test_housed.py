"""Who stayed somewhere at an instant; the ends of stays; walking order."""

from datetime import UTC, datetime, timedelta

import pytest

from husbandry.queries.housed import (
    Housed,
    housed_in_enclosures,
    housed_in_room,
    unknown_enclosures,
)
from tests.factories import EnclosureFactory, RoomFactory, StayFactory
from tests.husbandry.care_lists import queries_of

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 1, 9, tzinfo=UTC)
TICK = timedelta(microseconds=1)


def test_a_stay_counts_from_its_first_instant_to_before_its_last() -> None:
    room = RoomFactory.create()
    enclosure = EnclosureFactory.create(code="A-1", room=room)
    StayFactory.create(
        animal__code="V-1", enclosure=enclosure, from_at=AT, until_at=AT + 2 * TICK
    )
    StayFactory.create(animal__code="V-2", enclosure=enclosure, from_at=AT + 2 * TICK)

    def codes(at: datetime) -> list[str]:
        return [one.animal for one in housed_in_room(room=room, at=at)]

    assert codes(AT - TICK) == []
    assert codes(AT) == codes(AT + TICK) == ["V-1"]
    assert codes(AT + 2 * TICK) == codes(AT + timedelta(days=900)) == ["V-2"]


def test_in_walking_order_and_nowhere_else() -> None:
    room = RoomFactory.create()
    second = EnclosureFactory.create(code="A-1", room=room, position=2)
    first = EnclosureFactory.create(code="A-2", room=room, position=1)
    StayFactory.create(animal__code="V-1", enclosure=second)
    StayFactory.create(animal__code="V-3", enclosure=first, place=1)
    StayFactory.create(animal__code="V-2", enclosure=first, place=2)
    StayFactory.create(animal__code="V-9")
    walked = (Housed("V-2", "A-2"), Housed("V-3", "A-2"), Housed("V-1", "A-1"))

    assert housed_in_room(room=room, at=AT) == walked
    assert housed_in_enclosures(codes=["A-1", "A-2", "A-9"], at=AT) == walked
    assert housed_in_enclosures(codes=["A-2"], at=AT) == walked[:2]
    assert housed_in_enclosures(codes=[], at=AT) == ()
    assert queries_of(lambda: housed_in_room(room=room, at=AT)) == 1


def test_unknown_codes_are_named_once_in_their_order() -> None:
    EnclosureFactory.create(code="A-1")

    assert unknown_enclosures(codes=["A-9", "A-1", "A-8", "A-9"]) == ("A-9", "A-8")
    assert unknown_enclosures(codes=["A-1"]) == ()
