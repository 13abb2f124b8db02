"""Plans that change, and what is asked before animals leave, over the API."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from core.roles import Role
from placements.models import Placement, PlacementPolicy
from tests import factories
from tests.api.conftest import Caller

pytestmark = pytest.mark.django_db
POLICIES = "/api/v1/placement-policies/"


def plan(**said: Any) -> Placement:
    said = {"kind": "foster", "due_back_on": date(2026, 6, 20)} | said
    return factories.PlacementFactory.create(**said)


def change(row: Placement) -> str:
    return f"/api/v1/placements/{row.pk}/change-plan/"


def test_what_is_left_out_of_a_change_stays(caller: Caller) -> None:
    home = factories.HomeFactory.create()
    application = factories.ApplicationFactory.create(home=home)
    row = plan(home=home, application=application)
    enclosure = factories.HomeEnclosureFactory.create(home=home)
    client = caller(Role.ADOPTION_COORDINATOR)

    moved = client.post(
        change(row), {"planned_on": "2026-03-25", "home_enclosure": enclosure.pk}
    )
    freed = client.post(change(row), {"application": None, "due_back_on": "2026-07-01"})

    assert (moved.status_code, moved.json()["planned_on"]) == (200, "2026-03-25")
    assert freed.json()["due_back_on"] == "2026-07-01"
    row.refresh_from_db()
    assert (row.planned_on, row.home_enclosure) == (date(2026, 3, 25), enclosure)
    assert (row.application, row.due_back_on) == (None, date(2026, 7, 1))


@pytest.mark.parametrize(
    ("body", "code", "field"),
    [
        ({}, "placement_plan", None),
        ({"due_back_on": None}, "placement_plan", "due_back_on"),
        ({"due_back_on": "2026-03-20"}, "placement_plan", "due_back_on"),
        ({"application": 7777}, "unknown_application", "application"),
        ({"home_enclosure": 2**63}, "unknown_home_enclosure", "home_enclosure"),
        ({"home_enclosure": 0}, "unknown_home_enclosure", "home_enclosure"),
    ],
)
def test_a_change_that_cannot_be_is_refused(
    body: dict[str, Any], code: str, field: str | None, caller: Caller
) -> None:
    row = plan()

    answer = caller(Role.MANAGER).post(change(row), body)

    said = answer.json()
    assert said["code"] == code
    assert list(said["fields"]) == ([field] if field else [])
    row.refresh_from_db()
    assert row.due_back_on == date(2026, 6, 20)


def test_a_policy_is_decided_for_a_species_and_a_kind(caller: Caller) -> None:
    species = factories.SpeciesFactory.create(code="veiled")
    body = {
        "species": "veiled",
        "kind": "sale",
        "least_age_days": 90,
        "least_mass_g": 30.5,
        "sex": "likely",
        "papers": ["origin_statement"],
        "home_ready": True,
        "reason": "As the house decided.",
    }

    answer = caller(Role.MANAGER).post(POLICIES, body)

    assert answer.status_code == 201
    said = answer.json()
    assert said["species"] == {"id": species.pk, "code": "veiled"}
    assert said["least_mass_g"] == 30.5
    assert {name: said[name] for name in ("kind", "sex", "papers", "application")} == {
        "kind": "sale",
        "sex": "likely",
        "papers": ["origin_statement"],
        "application": False,
    }
    assert PlacementPolicy.objects.get().least_mass_g == Decimal("30.50")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"reason": "   "}, "reason"),
        ({"least_mass_g": 0.001}, "least_mass_g"),
        ({"papers": ["other", "other"]}, "papers"),
    ],
)
def test_a_policy_that_cannot_be_is_refused(
    changes: dict[str, Any], field: str, caller: Caller
) -> None:
    answer = caller(Role.OWNER).post(POLICIES, {"reason": "As agreed."} | changes)

    said = answer.json()
    assert (answer.status_code, said["code"]) == (409, "placement_policy")
    assert list(said["fields"]) == [field]
    assert not PlacementPolicy.objects.exists()


def test_a_policy_for_all_names_neither_species_nor_kind(caller: Caller) -> None:
    factories.PlacementPolicyFactory.create()

    (row,) = caller(Role.VET).get(POLICIES).json()["results"]

    assert (row["species"], row["kind"], row["least_age_days"]) == (None, None, 90)


def test_each_piece_of_evidence_of_a_gate_is_told(caller: Caller) -> None:
    row = plan()
    for kind in ("weight_loss", "food_refused"):
        factories.FindingFactory.create(
            animal=row.animal, kind=kind, key=kind, urgency="now"
        )

    gates = caller(Role.VET).get(f"/api/v1/placements/{row.pk}/gates/").json()["gates"]

    (urgent,) = [gate for gate in gates if gate["gate"] == "nothing_urgent"]
    assert urgent["state"] == "shut"
    assert len(set(urgent["evidence"]["finding"])) == 2
