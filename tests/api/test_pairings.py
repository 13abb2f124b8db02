"""Pairings and introductions: planned, recorded in lists, struck out, ended."""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from clutches.models import Introduction, Pairing
from clutches.rules.pairings.introductions import CAUTION
from core.roles import Role
from husbandry.models import Animal
from tests.api.conftest import Caller
from tests.api.racks import Json
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    IntroductionFactory,
    PairingFactory,
    WeighingFactory,
)

PAIRINGS, INTRODUCTIONS = "/api/v1/pairings/", "/api/v1/introductions/"


@pytest.fixture
def keeper(caller: Caller) -> APIClient:
    return caller(Role.KEEPER)


@pytest.fixture
def pair(db: None) -> tuple[Animal, Animal]:
    CareProfileFactory.create()
    dam = AnimalFactory.create(code="V-1", name="Juno")
    sire = AnimalFactory.create(code="V-2", name="Bas", male=True)
    for animal in (dam, sire):
        WeighingFactory.create(animal=animal, at=timezone.now())
    return dam, sire


def today() -> str:
    return timezone.now().date().isoformat()


def window(expected: Json, mated_at: datetime) -> bool:
    """Say whether a window is 20 to 35 days after (zoo profile 2014, Kramer DVM)."""
    return [expected["window_from"], expected["window_until"]] == [
        (mated_at.date() + timedelta(days=days)).isoformat() for days in (20, 35)
    ]


def test_plan_meet_and_end(pair: tuple[Animal, Animal], keeper: APIClient) -> None:
    dam, sire = pair
    planned = keeper.post(
        PAIRINGS, {"dam": "V-1", "sire": "V-2", "reason": "Unrelated."}
    )

    row = Pairing.objects.get()
    said = planned.json()
    assert planned.status_code == 201
    assert said.pop("created_at").endswith("Z")
    assert said.pop("created_by").startswith("person")
    assert said == {
        "id": row.pk,
        "dam": {"id": dam.pk, "code": "V-1"},
        "sire": {"id": sire.pk, "code": "V-2"},
        "planned_on": today(),
        "reason": "Unrelated.",
        "ended_on": None,
        "introductions": 0,
        "last_at": None,
        "last_outcome": None,
        "outlook": {
            "expected": None,
            "next_clutch_from": None,
            "load": {
                "clutches": 0,
                "eggs": 0,
                "most_clutches": 3,
                "last_on": None,
                "rest_days": None,
                "rest_wanted_days": 120,
                "rested": True,
            },
        },
        "remarks": [],
        "caution": CAUTION,
    }

    met = keeper.post(
        INTRODUCTIONS, {"pairing": row.pk, "outcome": "mated", "minutes": 40}
    )
    shown = keeper.get(f"{PAIRINGS}{row.pk}/").json()
    mated_at = Introduction.objects.get().at

    assert (met.status_code, met.json()["caution"]) == (201, CAUTION)
    assert "may lay between" in met.json()["remarks"][0]
    assert (shown["introductions"], shown["last_outcome"]) == (1, "mated")
    expected = shown["outlook"]["expected"]
    assert window(expected, mated_at)
    assert (expected["because"], expected["sire"]) == ("mated", "V-2 Bas")

    ended = keeper.post(
        f"{PAIRINGS}{row.pk}/end/", {"on": today(), "reason": "They met."}
    )
    again = keeper.post(f"{PAIRINGS}{row.pk}/end/")
    late = keeper.post(INTRODUCTIONS, {"pairing": row.pk, "outcome": "ignored"})

    assert (ended.status_code, ended.json()["ended_on"]) == (200, today())
    assert (again.status_code, again.json()["code"]) == (409, "pairing_refused")
    assert (late.status_code, late.json()["code"]) == (409, "introduction_refused")


def test_what_speaks_against_a_pair_is_answered(
    pair: tuple[Animal, Animal], keeper: APIClient
) -> None:
    Animal.objects.filter(code="V-1").update(dam=None, hatched_on=timezone.now().date())
    Animal.objects.filter(code="V-1").update(arrived_on=timezone.now().date())

    answer = keeper.post(PAIRINGS, {"dam": "V-1", "sire": "V-2"})

    assert answer.status_code == 201
    assert answer.json()["remarks"][0].startswith("V-1 Juno is 0 days old")


@pytest.mark.parametrize(
    ("body", "status", "fields"),
    [
        ({"dam": "V-9"}, 400, {"animal": "the code of an animal"}),
        ({"dam": "V-2"}, 409, {"sire": "another animal"}),
        ({"sire": "V-1"}, 409, {"sire": "another animal"}),
        ({"dam": "V-2", "sire": "V-1"}, 409, {"dam": "an animal that is not male"}),
        ({"planned_on": "2199-12-31"}, 409, None),
        ({"reason": "r" * 301}, 400, {"reason": "str of length <= 300"}),
    ],
)
def test_a_pair_that_cannot_be_is_refused(
    body: Json,
    status: int,
    fields: Json | None,
    pair: tuple[Animal, Animal],
    keeper: APIClient,
) -> None:
    answer = keeper.post(PAIRINGS, {"dam": "V-1", "sire": "V-2", **body})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not Pairing.objects.exists()


def test_a_list_of_introductions_keeps_its_good_lines(keeper: APIClient) -> None:
    pairing = PairingFactory.create()
    good = {
        "pairing": pairing.pk,
        "at": "2026-02-01T10:00:00Z",
        "outcome": "refused",
    }
    lines = [good, {**good, "outcome": "danced"}, {**good, "pairing": 0}, good]

    answer = keeper.post(INTRODUCTIONS, lines).json()

    assert (answer["stored"], answer["known"]) == (1, 1)
    assert [(r["index"], r["code"]) for r in answer["refused"]] == [
        (1, "unreadable"),
        (2, "introduction_refused"),
    ]
    assert [line["label"] for line in answer["lines"]] == [
        str(pairing.pk),
        None,
        "0",
        str(pairing.pk),
    ]


def test_a_wrong_one_is_replaced_or_struck_out(keeper: APIClient) -> None:
    row = IntroductionFactory.create()
    right = {
        "pairing": row.pairing_id,
        "at": "2026-01-12T10:00:00Z",
        "outcome": "fought",
        "note": "She bit him.",
        "corrects": row.pk,
    }

    answer = keeper.post(INTRODUCTIONS, right)
    strike = keeper.post(
        f"{INTRODUCTIONS}{answer.json()['id']}/strike/", {"reason": "Another pair."}
    )

    assert answer.status_code == 201
    assert "licensed reptile vet" in answer.json()["remarks"][0]
    assert (strike.status_code, strike.json()["struck_reason"]) == (
        200,
        "Another pair.",
    )
    old = keeper.get(f"{INTRODUCTIONS}{row.pk}/").json()
    assert (old["struck_reason"], old["corrected_by"]) == (
        "She bit him.",
        answer.json()["id"],
    )
