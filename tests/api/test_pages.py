"""Lists come in pages that neither lose nor repeat a row."""

import pytest
from rest_framework.test import APIClient

from tests.factories import (
    AnimalFactory,
    ConditionsFactory,
    EnclosureFactory,
    ProbeFactory,
    RoomFactory,
    StayFactory,
    WeighingFactory,
)


def _walk(client: APIClient, address: str, page_size: int) -> list[object]:
    found, following = [], f"/api/v1/{address}/?page_size={page_size}"
    while following:
        page = client.get(following).json()
        assert 0 < len(page["results"]) <= page_size
        found += page["results"]
        following = page["next"]
    return found


@pytest.mark.parametrize("page_size", [1, 2, 3, 6, 7])
def test_every_row_once_in_the_same_order(viewer: APIClient, page_size: int) -> None:
    animal, room = AnimalFactory(), RoomFactory()
    for _ in range(6):
        WeighingFactory(animal=animal)
        StayFactory()
        probe = ProbeFactory(enclosure=EnclosureFactory(room=room, position=1))
        ConditionsFactory(probe=probe)

    for address in ("animals", "weighings", "stays", "probes", "conditions", "rooms"):
        whole = viewer.get(f"/api/v1/{address}/").json()
        assert whole["next"] is None
        assert _walk(viewer, address, page_size) == whole["results"]


def test_a_row_that_comes_meanwhile_moves_nothing(viewer: APIClient) -> None:
    for code in ("B", "D", "F"):
        AnimalFactory(code=code)
    first = viewer.get("/api/v1/animals/?page_size=2").json()
    AnimalFactory(code="A")
    AnimalFactory(code="E")

    second = viewer.get(first["next"]).json()

    assert [a["code"] for a in first["results"]] == ["B", "D"]
    assert [a["code"] for a in second["results"]] == ["E", "F"]


def test_the_next_page_keeps_what_was_asked(viewer: APIClient) -> None:
    for _ in range(3):
        AnimalFactory(male=True)
        AnimalFactory()

    first = viewer.get("/api/v1/animals/?page_size=2&sex=male").json()
    second = viewer.get(first["next"]).json()

    assert "sex=male" in first["next"]
    assert {a["sex"] for a in first["results"] + second["results"]} == {"male"}
    assert len(second["results"]) == 1
