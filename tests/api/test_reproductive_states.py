"""Reproductive states: listed, begun and ended."""

from datetime import date

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Animal, ReproductiveSpell
from tests.api.conftest import Caller
from tests.factories import AnimalFactory, ReproductiveSpellFactory

STATES = "/api/v1/reproductive-states/"


@pytest.fixture
def manager(caller: Caller) -> APIClient:
    return caller(Role.MANAGER)


@pytest.fixture
def female(db: None) -> Animal:
    return AnimalFactory(code="V-1")


def test_a_spell_begins_and_ends(manager: APIClient, female: Animal) -> None:
    begun = manager.post(
        STATES,
        {
            "animal": "V-1",
            "state": "gravid",
            "on": "2026-02-20",
            "basis": "Eggs can be felt.",
        },
    )

    spell = ReproductiveSpell.objects.get()
    said = {
        "id": spell.pk,
        "animal": {"id": female.pk, "code": "V-1"},
        "state": "gravid",
        "from_on": "2026-02-20",
        "until_on": None,
        "basis": "Eggs can be felt.",
    }
    assert (begun.status_code, begun.json()) == (201, said)

    ended = manager.post(
        STATES,
        {"animal": "V-1", "state": "resting", "on": "2026-03-02", "basis": "Laid."},
    )

    # The day after laying is the first of rest, so the spell held until the day of it.
    said |= {"until_on": "2026-03-01", "basis": "Eggs can be felt.; Laid."}
    assert (ended.status_code, ended.json()) == (200, said)
    assert manager.get(f"{STATES}{spell.pk}/").json() == said
    assert AuditEntry.objects.filter(verb="record_reproductive_state").count() == 2


def test_without_a_day_it_is_today(manager: APIClient, female: Animal) -> None:
    answer = manager.post(STATES, {"animal": "V-1", "state": "gravid"})

    assert answer.status_code == 201
    assert date.fromisoformat(answer.json()["from_on"]).year >= 2026


def test_the_newest_first(viewer: APIClient, female: Animal) -> None:
    old = ReproductiveSpellFactory(
        animal=female, from_on=date(2025, 2, 1), until_on=date(2025, 3, 1)
    )
    new = ReproductiveSpellFactory(animal=female)

    found = viewer.get(STATES).json()["results"]

    assert [row["id"] for row in found] == [new.pk, old.pk]


@pytest.mark.parametrize(
    ("body", "status", "code", "fields"),
    [
        ({"state": "gravid"}, 409, "reproduction_refused", {"state": "resting"}),
        ({"state": "laying"}, 400, "invalid_body", {"state": "resting, gravid"}),
        ({"state": "resting", "on": "2026-02-19"}, 409, "reproduction_refused", {"on"}),
        ({"state": "resting", "on": "2199-02-19"}, 409, "reproduction_refused", {"on"}),
        ({"animal": "V-9", "state": "gravid"}, 400, "unknown_animal", {"animal"}),
        ({"animal": "male", "state": "gravid"}, 409, "reproduction_refused", {"state"}),
        (
            {"animal": "gone", "state": "gravid"},
            409,
            "reproduction_refused",
            {"animal"},
        ),
        ({"state": "resting", "basis": "x" * 201}, 400, "invalid_body", {"basis"}),
        ({}, 400, "invalid_body", {"state"}),
    ],
)
def test_what_cannot_be_is_refused(
    body: dict[str, str],
    status: int,
    code: str,
    fields: object,
    manager: APIClient,
    female: Animal,
) -> None:
    ReproductiveSpellFactory(animal=female)
    AnimalFactory(code="male", male=True)
    AnimalFactory(code="gone", left=True)

    answer = manager.post(STATES, {"animal": "V-1"} | body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    told = answer.json()["fields"]
    assert told == fields if isinstance(fields, dict) else set(told) == fields
    assert ReproductiveSpell.objects.get().until_on is None


@pytest.mark.parametrize("role", set(Role) - {Role.OWNER, Role.MANAGER})
def test_who_may_not(role: Role, caller: Caller, female: Animal) -> None:
    answer = caller(role).post(STATES, {"animal": "V-1", "state": "gravid"})

    assert answer.status_code == 403
    assert not ReproductiveSpell.objects.exists()
