"""A room with three animals that the tests of care records are about."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from rest_framework.test import APIClient

from core.models import Room
from core.roles import Role
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    RoomFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)

AT = "2026-03-02T09:00:00Z"
WHEN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Rack:
    """V-1 to V-3 stay in A-1 to A-3; V-4 left A-4 the day before, V-5 is elsewhere."""

    room: Room
    animals: dict[str, Any]

    def pk(self, code: str) -> int:
        number: int = self.animals[code].pk
        return number


def make_rack() -> Rack:
    CareProfileFactory.create()
    room = RoomFactory.create(site=SiteFactory.create(code="vescora"), code="adults")
    animals = {}
    for number in (1, 2, 3, 4):
        animal = AnimalFactory.create(code=f"V-{number}", name=f"Name {number}")
        enclosure = EnclosureFactory.create(code=f"A-{number}", room=room)
        gone = datetime(2026, 3, 1, 9, tzinfo=UTC) if number == 4 else None
        StayFactory.create(animal=animal, enclosure=enclosure, until_at=gone)
        animals[animal.code] = animal
    animals["V-5"] = AnimalFactory.create(code="V-5", name="Name 5")
    StayFactory.create(
        animal=animals["V-5"], enclosure=EnclosureFactory.create(code="B-1")
    )
    return Rack(room, animals)


def ada() -> APIClient:
    """Return a client for a keeper who has a name."""
    client = APIClient()
    client.force_authenticate(
        UserFactory.create(first_name="Ada", role=Role.KEEPER.value)
    )
    return client


def entry(pk: int, **changes: Any) -> Json:
    """Return what every entry says that Ada has just recorded, but for `recorded_at`."""
    said: Json = {
        "id": pk,
        "at": AT,
        "note": "",
        "recorded_by": "Ada",
        "corrects": None,
        "corrected_by": None,
        "struck_at": None,
        "struck_by": None,
        "struck_reason": "",
    }
    return said | changes


def ids(client: APIClient, address: str, query: str) -> list[int]:
    """Return the numbers of the rows that a list answers."""
    answer = client.get(f"{address}?{query}")
    assert answer.status_code == 200, answer.json()
    return [row["id"] for row in answer.json()["results"]]
