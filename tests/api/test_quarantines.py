"""Quarantine: put in, judged, let out; and the policies it is judged by."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.models import Quarantine
from placements.models import QuarantinePolicy
from placements.rules.quarantine.telling import DAYS_ALONE
from tests.api.conftest import Caller
from tests.factories import (
    AnimalFactory,
    QuarantineFactory,
    RoomFactory,
    SpeciesFactory,
    StayFactory,
)

pytestmark = pytest.mark.django_db
LIST, POLICIES = "/api/v1/quarantines/", "/api/v1/quarantine-policies/"
DAY = timedelta(days=1)


def held_for(days: int, **more: Any) -> Quarantine:
    """An animal in a room of quarantine at a site on UTC."""
    now = timezone.now()
    room = RoomFactory(name="Arrivals", quarantine=True, site__time_zone="UTC")
    made: Quarantine = QuarantineFactory(began_on=now.date() - days * DAY, **more)
    StayFactory(
        animal=made.animal,
        enclosure__room=room,
        enclosure__code="Q-1",
        from_at=now - days * DAY,
    )
    return made


def test_an_animal_is_put_in_by_its_species_policy(keeper: APIClient) -> None:
    animal = AnimalFactory(code="V-1")

    answer = keeper.post(f"{LIST}begin/", {"animal": "V-1", "reason": "fell ill"})

    row = Quarantine.objects.get()
    said = answer.json()
    assert answer.status_code == 201
    assert (said["id"], said["animal"]) == (row.pk, {"id": animal.pk, "code": "V-1"})
    assert (said["group"], said["reason"]) == ("reptiles", "fell ill")
    assert (said["ended_on"], said["clearance"]) == (None, None)
    assert said["standing"]["room"] is None


def test_an_open_one_says_how_it_stands(viewer: APIClient) -> None:
    held = held_for(10)
    today = timezone.now().date()

    said = viewer.get(f"{LIST}{held.pk}/").json()["standing"]

    criteria = {c["criterion"]: c for c in said.pop("criteria")}
    assert said == {
        "on": str(today),
        "clock_from": str(held.began_on),
        "earliest_on": str(today + 20 * DAY),
        "restarted_by": [],
        "ready": False,
        "room": "Arrivals",
        "enclosure": "Q-1",
        "broken": None,
        "others": [],
        "caution": DAYS_ALONE,
    }
    assert {name: (c["asked"], c["met"]) for name, c in criteria.items()} == {
        "days": (True, False),
        "tests": (False, True),
        "weight": (True, None),
        "health": (True, None),
    }
    assert criteria["days"]["evidence"]["days"] == 10
    assert criteria["days"]["told"].startswith("10 days since")


def test_what_restarted_a_clock_and_what_breaks_it_are_told(viewer: APIClient) -> None:
    held = held_for(10)
    room = held.animal.stays.get().enclosure.room
    newcomer = QuarantineFactory(began_on=held.began_on + 6 * DAY)
    StayFactory(
        animal=newcomer.animal,
        enclosure__room=room,
        from_at=timezone.now() - 4 * DAY,
    )
    StayFactory(animal__code="R-1", enclosure__room=room)

    said = viewer.get(f"{LIST}{held.pk}/").json()["standing"]

    assert said["restarted_by"] == [
        {
            "on": str(newcomer.began_on),
            "animal": {"id": newcomer.animal_id, "code": newcomer.animal.code},
            "room": "Arrivals",
        }
    ]
    assert (said["broken"], said["others"]) == ("shared_with", ["R-1"])


def test_a_vet_lets_one_out_with_a_reason(caller: Caller) -> None:
    held, vet = held_for(10), caller(Role.VET)

    refused = vet.post(f"{LIST}{held.pk}/clear/")
    done = vet.post(f"{LIST}{held.pk}/clear/", {"despite": "to the clinic's own"})
    again = vet.post(f"{LIST}{held.pk}/clear/", {"despite": "twice"})

    assert (refused.status_code, refused.json()["code"]) == (409, "clearance_refused")
    assert list(refused.json()["fields"]) == ["despite"]
    said = done.json()
    assert done.status_code == 200
    assert (said["standing"], said["ended_on"]) == (None, str(timezone.now().date()))
    clearance = said["clearance"]
    assert clearance["despite"] == "to the clinic's own"
    assert clearance["cleared_by"].startswith("person")
    assert [c["met"] for c in clearance["criteria"]] == [False, True, None, None]
    assert (again.status_code, again.json()["code"]) == (409, "quarantine_refused")


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        ({"animal": "nobody", "reason": "ill"}, "unknown_animal"),
        ({"animal": "V-1", "reason": ""}, "invalid_body"),
        ({"animal": "V-1", "reason": "ill", "until": "2026-01-01"}, "invalid_body"),
    ],
)
def test_what_cannot_be_read_is_refused(
    sent: dict[str, str], code: str, keeper: APIClient
) -> None:
    AnimalFactory(code="V-1")

    answer = keeper.post(f"{LIST}begin/", sent)

    assert answer.status_code == 400
    assert answer.json()["code"] == code
    assert not Quarantine.objects.exists()


def test_one_that_is_in_quarantine_is_not_put_in_again(keeper: APIClient) -> None:
    held = QuarantineFactory()

    answer = keeper.post(
        f"{LIST}begin/", {"animal": held.animal.code, "reason": "again"}
    )

    assert (answer.status_code, answer.json()["code"]) == (409, "quarantine_refused")


# Policies.


def test_a_policy_is_decided_and_holds_at_once(owner: APIClient) -> None:
    SpeciesFactory(code="frog", common_name="Frog", scientific_name="Rana")
    decided = {
        "species": "frog",
        "group": "amphibians",
        "days": 60,
        "tests": 3,
        "tests_apart_days": 14,
        "weight_days": 21,
        "most_loss_pct": 4.5,
        "reason": "as agreed with the vet",
    }

    answer = owner.post(POLICIES, decided)

    row = QuarantinePolicy.objects.get()
    said = answer.json()
    assert answer.status_code == 201
    assert said.pop("made_at").endswith("Z")
    assert said.pop("made_by").startswith("person")
    assert said == {
        **decided,
        "id": row.pk,
        "species": {"id": row.species_id, "code": "frog"},
        "needed": True,
        "test_kind": "faecal",
        "most_loss_pct": said["most_loss_pct"],
    }
    assert float(said["most_loss_pct"]) == 4.5


def test_a_policy_that_cannot_be_is_refused(owner: APIClient) -> None:
    none = owner.post(POLICIES, {"days": 0, "reason": "none"})
    nowhere = owner.post(POLICIES, {"days": 30, "reason": "x", "species": "none"})

    assert (none.status_code, none.json()["code"]) == (409, "quarantine_policy_refused")
    assert list(none.json()["fields"]) == ["days"]
    assert nowhere.json()["code"] == "unknown_species"
    assert not QuarantinePolicy.objects.exists()
