"""Animals: registered, mended, moved, noted as gone."""

from datetime import UTC, datetime, timedelta

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Animal, Death, Stay
from husbandry.rules.health.cautions import DEATHS, LOSSES
from tests.api.conftest import Caller
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    SpeciesFactory,
    StayFactory,
)

ANIMALS = "/api/v1/animals/"
BODY = {"code": "V-1", "species": "veiled_chameleon", "arrived_on": "2026-03-01"}
WHOLE = {
    **BODY,
    "name": "Juno",
    "sex": "female",
    "sex_basis": "heel_spur",
    "sex_confidence": "confirmed",
    "hatched_on": "2025-11-01",
    "hatched_precision": "month",
    "dam": "V-0",
    "sire": None,
    "origin": "born_elsewhere",
    "origin_note": "From the Greys of 2 Mill Lane.",
    "microchip": "276 098 100 000 001",
    "notes": "Shy.",
}


@pytest.fixture
def manager(caller: Caller) -> APIClient:
    return caller(Role.MANAGER)


@pytest.fixture
def dam(db: None) -> Animal:
    return AnimalFactory(code="V-0")


def test_register_one(manager: APIClient, dam: Animal) -> None:
    answer = manager.post(ANIMALS, WHOLE)

    assert answer.status_code == 201
    row = Animal.objects.get(code="V-1")
    assert answer.json() == {
        "id": row.pk,
        "code": "V-1",
        "name": "Juno",
        "species": "veiled_chameleon",
        "sex": "female",
        "sex_basis": "heel_spur",
        "sex_confidence": "confirmed",
        "hatched_on": "2025-11-01",
        "hatched_precision": "month",
        "dam": {"id": dam.pk, "code": "V-0"},
        "sire": None,
        "origin": "born_elsewhere",
        "arrived_on": "2026-03-01",
        "status": "in_care",
        "left_on": None,
        "microchip": "276098100000001",
        "notes": "Shy.",
        "enclosure": None,
        "latest_weighing": None,
    }
    assert row.origin_note == "From the Greys of 2 Mill Lane."
    assert AuditEntry.objects.get().verb == "register_animal"


@pytest.mark.parametrize(
    ("more", "status", "code", "fields"),
    [
        ({"code": "V-0"}, 409, "animal_refused", {"code"}),
        ({"arrived_on": "2199-01-01"}, 409, "animal_refused", {"arrived_on"}),
        ({"sex": "male"}, 409, "sex_refused", {"sex_basis"}),
        ({"sire": "V-0"}, 409, "parent_refused", {"sire"}),
        ({"microchip": "12"}, 409, "microchip_refused", {"microchip"}),
        ({"dam": "V-9"}, 400, "unknown_animal", {"dam"}),
        ({"species": "nobody"}, 400, "unknown_species", {"species"}),
        ({"sex": "Male"}, 400, "invalid_body", {"sex"}),
        ({"name": "x" * 81}, 400, "invalid_body", {"name"}),
        ({"arrived_on": None}, 400, "invalid_body", {"arrived_on"}),
        ({"enclosure": "E-1"}, 400, "invalid_body", {"enclosure"}),
    ],
)
@pytest.mark.usefixtures("dam")
def test_what_cannot_be_registered_is_refused(
    more: dict[str, object],
    status: int,
    code: str,
    fields: set[str],
    manager: APIClient,
) -> None:
    answer = manager.post(ANIMALS, BODY | more)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert set(answer.json()["fields"]) == fields
    assert Animal.objects.count() == 1


def _list() -> list[dict[str, object]]:
    return [
        BODY,
        {**BODY, "code": "V-2", "dam": "V-1"},
        {**BODY, "code": "V-3", "sex": "Male"},
        {**BODY, "code": "V-0"},
        {**BODY, "code": "V-4", "dam": "V-9"},
    ]


@pytest.mark.usefixtures("dam")
def test_a_list_keeps_its_good_rows(manager: APIClient) -> None:
    answer = manager.post(ANIMALS, _list())

    one, two = Animal.objects.get(code="V-1"), Animal.objects.get(code="V-2")
    assert two.dam == one
    report = answer.json()
    sentences = [row.pop("sentence") for row in report["refused"]]
    assert (answer.status_code, report) == (
        200,
        {
            "stored": 2,
            "refused": [
                {"index": 2, "code": "unreadable"},
                {"index": 3, "code": "animal_refused"},
                {"index": 4, "code": "animal_refused"},
            ],
            "animals": [
                {"id": one.pk, "code": "V-1"},
                {"id": two.pk, "code": "V-2"},
                *[None] * 3,
            ],
        },
    )
    assert sentences[0] == "sex cannot be read: invalid enum value 'Male'."
    assert "There is an animal V-0 already" in sentences[1]


@pytest.mark.usefixtures("dam")
def test_all_or_none_stores_nothing_and_names_what_stands_against_it(
    manager: APIClient,
) -> None:
    answer = manager.post(f"{ANIMALS}?all_or_none=true", _list())

    assert answer.status_code == 409
    assert answer["Content-Type"] == "application/problem+json"
    problem = answer.json()
    assert problem["code"] == "rows_refused"
    assert problem["detail"].startswith(
        "Nothing was stored: 3 of 5 rows cannot be taken, and all or none were to be. "
        "The first is row 2, counted from 0: sex cannot be read"
    )
    assert [(row["index"], row["code"]) for row in problem["rows"]] == [
        (2, "unreadable"),
        (3, "animal_refused"),
        (4, "animal_refused"),
    ]
    assert Animal.objects.count() == 1
    assert not AuditEntry.objects.exists()


@pytest.mark.usefixtures("dam")
def test_all_or_none_stores_a_list_without_fault(manager: APIClient) -> None:
    answer = manager.post(f"{ANIMALS}?all_or_none=true", _list()[:2])

    assert (answer.status_code, answer.json()["stored"]) == (200, 2)


def test_all_or_none_is_true_or_false(manager: APIClient) -> None:
    answer = manager.post(f"{ANIMALS}?all_or_none=maybe", [])

    assert answer.status_code == 400
    assert answer.json()["fields"] == {"all_or_none": "true, false"}


def test_a_list_that_is_empty_or_too_long(manager: APIClient) -> None:
    empty = manager.post(ANIMALS, [])
    long = manager.post(ANIMALS, [BODY] * 1001)

    assert (empty.status_code, empty.json()["code"]) == (400, "no_rows")
    assert (long.status_code, long.json()["code"]) == (413, "too_many_rows")


def test_correct(manager: APIClient, dam: Animal) -> None:
    young = AnimalFactory(
        code="V-1", dam=dam, hatched_on="2025-11-01", arrived_on="2026-01-01"
    )

    answer = manager.post(
        f"{ANIMALS}{young.pk}/correct/",
        {"reason": "Mixed up.", "code": "V-7", "dam": None, "notes": "Bites."},
    )

    assert answer.status_code == 200
    found = answer.json()
    assert (found["code"], found["dam"], found["notes"]) == ("V-7", None, "Bites.")
    assert found["hatched_on"] == "2025-11-01"  # left out: stays
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.reason) == ("correct_animal", "Mixed up.")
    assert entry.before == {"code": "V-1", "dam": dam.pk, "notes": ""}


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({}, 400, "invalid_body"),
        ({"reason": ""}, 400, "invalid_body"),
        ({"reason": " ", "name": "Io"}, 409, "animal_refused"),
        ({"reason": "x"}, 409, "animal_refused"),  # nothing would change
        ({"reason": "x", "species": "nobody"}, 400, "unknown_species"),
        ({"reason": "x", "sire": "V-9"}, 400, "unknown_animal"),
        ({"reason": "x", "status": "dead"}, 400, "invalid_body"),
        ({"reason": "x", "code": None}, 400, "invalid_body"),
    ],
)
def test_what_cannot_be_mended_is_refused(
    body: dict[str, object], status: int, code: str, manager: APIClient, dam: Animal
) -> None:
    answer = manager.post(f"{ANIMALS}{dam.pk}/correct/", body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not AuditEntry.objects.exists()


def test_lost(manager: APIClient, dam: Animal) -> None:
    StayFactory(animal=dam)

    answer = manager.post(
        f"{ANIMALS}{dam.pk}/leave/",
        {"status": "lost", "on": "2026-03-01", "reason": "The door stood open."},
    )

    assert answer.status_code == 200
    found = answer.json()
    assert (found["status"], found["left_on"]) == ("lost", "2026-03-01")
    assert (found["enclosure"], found["caution"]) == (None, LOSSES.text)
    assert AuditEntry.objects.get().reason == "The door stood open."
    assert not Death.objects.exists()


def test_dead(manager: APIClient, dam: Animal) -> None:
    answer = manager.post(
        f"{ANIMALS}{dam.pk}/leave/",
        {"status": "dead", "reason": "Found in the morning.", "euthanised_by": ""},
    )

    assert answer.status_code == 200
    assert (answer.json()["status"], answer.json()["caution"]) == ("dead", DEATHS.text)
    death = Death.objects.get()
    assert (death.animal, death.circumstances) == (dam, "Found in the morning.")


@pytest.mark.parametrize(
    ("body", "status", "code", "fields"),
    [
        ({"status": "placed"}, 400, "invalid_body", {"status": "dead, lost"}),
        ({"status": "released"}, 400, "invalid_body", {"status": "dead, lost"}),
        (
            {"status": "lost", "euthanised_by": "Dr Vale"},
            400,
            "lost_not_dead",
            {"euthanised_by": "empty for one that was lost"},
        ),
        (
            {"status": "lost", "on": "2024-01-01"},
            409,
            "animal_refused",
            {"on": "2025-01-01 or later"},
        ),
    ],
)
def test_how_an_animal_cannot_leave_here(
    body: dict[str, object],
    status: int,
    code: str,
    fields: dict[str, str],
    manager: APIClient,
    dam: Animal,
) -> None:
    answer = manager.post(f"{ANIMALS}{dam.pk}/leave/", body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.json()["fields"] == fields
    dam.refresh_from_db()
    assert dam.status == "in_care"


def test_a_death_needs_its_circumstances(manager: APIClient, dam: Animal) -> None:
    answer = manager.post(f"{ANIMALS}{dam.pk}/leave/", {"status": "dead"})

    assert (answer.status_code, answer.json()["code"]) == (409, "death_refused")


def test_move_in_and_out(keeper: APIClient) -> None:
    stay = StayFactory(animal__code="V-1", enclosure__code="E-1")
    EnclosureFactory(code="E-2", room=stay.enclosure.room)
    address = f"{ANIMALS}{stay.animal.pk}/move/"

    moved = keeper.post(
        address, {"to": "E-2", "at": "2026-03-01T09:00:00Z", "reason": "More room."}
    )

    assert moved.status_code == 200
    assert moved.json()["enclosure"]["code"] == "E-2"
    old, new = Stay.objects.order_by("from_at")
    assert old.until_at == new.from_at == datetime(2026, 3, 1, 9, tzinfo=UTC)
    assert (new.reason, new.until_at) == ("More room.", None)

    taken_out = keeper.post(address, {"to": None})

    assert (taken_out.status_code, taken_out.json()["enclosure"]) == (200, None)
    assert not Stay.objects.filter(until_at=None).exists()


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({}, 400, "invalid_body"),
        ({"to": "E-9"}, 400, "unknown_enclosure"),
        ({"to": "E-1"}, 409, "move_refused"),  # it is there
        ({"to": "full"}, 409, "enclosure_occupied"),
        ({"to": None, "at": "2199-01-01T00:00:00Z"}, 409, "move_refused"),
        ({"to": "full", "reason": "x" * 201}, 400, "invalid_body"),
    ],
)
def test_where_it_cannot_go(
    body: dict[str, object], status: int, code: str, keeper: APIClient
) -> None:
    stay = StayFactory(enclosure__code="E-1")
    StayFactory(enclosure__code="full")

    answer = keeper.post(f"{ANIMALS}{stay.animal.pk}/move/", body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert Stay.objects.filter(until_at=None).count() == 2


def test_a_stay_is_recorded_after_the_fact(keeper: APIClient) -> None:
    old = StayFactory(animal__code="V-1", enclosure__code="E-1")
    EnclosureFactory(code="E-2", room=old.enclosure.room)

    answer = keeper.post(
        "/api/v1/stays/",
        {
            "animal": "V-1",
            "enclosure": "E-2",
            "from_at": "2026-03-01T10:00:00+01:00",
            "reason": "Noted late.",
        },
    )

    row = Stay.objects.latest("pk")
    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("moved_by")
    assert found == {
        "id": row.pk,
        "animal": {"id": row.animal.pk, "code": "V-1"},
        "enclosure": {"id": row.enclosure.pk, "code": "E-2"},
        "place": None,
        "from_at": "2026-03-01T09:00:00Z",
        "until_at": None,
        "reason": "Noted late.",
    }
    old.refresh_from_db()
    assert old.until_at == row.from_at


def test_a_stay_that_cannot_be(keeper: APIClient) -> None:
    old = StayFactory(animal__code="V-1", enclosure__code="E-1")
    EnclosureFactory(code="E-2", room=old.enclosure.room)
    before = (old.from_at - timedelta(days=1)).isoformat()
    body = {"animal": "V-1", "enclosure": "E-2", "from_at": before}

    early = keeper.post("/api/v1/stays/", body)
    nobody = keeper.post("/api/v1/stays/", {**body, "animal": "V-9"})
    nowhere = keeper.post("/api/v1/stays/", {**body, "enclosure": None})

    assert (early.status_code, early.json()["code"]) == (409, "move_refused")
    assert (nobody.status_code, nobody.json()["code"]) == (400, "unknown_animal")
    assert nowhere.status_code == 400
    assert Stay.objects.count() == 1


@pytest.mark.parametrize("role", set(Role) - {Role.OWNER, Role.MANAGER})
def test_who_may_not_edit_animals(role: Role, caller: Caller, dam: Animal) -> None:
    client, one = caller(role), f"{ANIMALS}{dam.pk}/"

    answers = [
        client.post(ANIMALS, BODY),
        client.post(f"{ANIMALS}?all_or_none=true", [BODY]),
        client.post(f"{one}correct/", {"reason": "x", "name": "Io"}),
        client.post(f"{one}leave/", {"status": "lost"}),
    ]

    assert {answer.status_code for answer in answers} == {403}
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize("role", [Role.VIEWER, Role.ADOPTION_COORDINATOR])
def test_who_may_not_move(role: Role, caller: Caller) -> None:
    stay, client = StayFactory(animal__code="V-1"), caller(role)
    EnclosureFactory(code="E-2")

    moved = client.post(f"{ANIMALS}{stay.animal.pk}/move/", {"to": None})
    noted = client.post("/api/v1/stays/", {"animal": "V-1", "enclosure": "E-2"})

    assert (moved.status_code, noted.status_code) == (403, 403)
    assert Stay.objects.get().until_at is None


@pytest.mark.parametrize("role", [Role.OWNER, Role.MANAGER])
def test_what_was_told_of_its_origin_is_never_answered(
    role: Role, caller: Caller, dam: Animal
) -> None:
    client = caller(role)

    one = client.post(ANIMALS, WHOLE)
    changed = client.post(
        f"{ANIMALS}{dam.pk}/correct/",
        {"reason": "x", "origin_note": "From the Greys of 2 Mill Lane."},
    )

    assert (one.status_code, changed.status_code) == (201, 200)
    assert b"Mill Lane" not in one.content + changed.content


def test_a_keepers_species_may_be_another(manager: APIClient) -> None:
    SpeciesFactory(code="another_species")

    answer = manager.post(ANIMALS, {**BODY, "species": "another_species"})

    assert (answer.status_code, answer.json()["species"]) == (201, "another_species")
