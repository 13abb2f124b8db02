"""Incubation plans: made whole, refused with a reason, retired."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from clutches.models import IncubationPlan
from core.roles import Role
from tests.api.conftest import Caller
from tests.api.racks import Json
from tests.factories import IncubationPlanFactory, SpeciesFactory

PLANS = "/api/v1/incubation-plans/"


@pytest.fixture
def manager(caller: Caller) -> APIClient:
    return caller(Role.MANAGER)


@pytest.fixture
def given(db: None) -> Json:
    SpeciesFactory.create(code="veiled")
    return {
        "code": "cool-rest",
        "name": "With a cool rest",
        "species": "veiled",
        "note": "Invented.",
        "phases": [
            {"kind": "warm", "days": 45, "day_low_c": 25, "day_high_c": 28.0},
            {"kind": "cool", "days": 60, "day_low_c": 17, "day_high_c": 20.5},
            {
                "kind": "warm",
                "day_low_c": 26,
                "day_high_c": 28,
                "night_low_c": 24,
                "night_high_c": 26,
            },
        ],
    }


def test_a_plan_is_made_and_shown(given: Json, manager: APIClient) -> None:
    answer, twice = manager.post(PLANS, given), manager.post(PLANS, given)

    row = IncubationPlan.objects.get()
    said = answer.json()
    assert (answer.status_code, twice.status_code) == (201, 409)
    assert twice.json()["code"] == "incubation_plan_refused"
    assert said == manager.get(f"{PLANS}{row.pk}/").json()
    assert said.pop("phases") == [
        bands("warm", 45, 25, 28, 25, 28),
        bands("cool", 60, 17, 20.5, 17, 20.5),
        bands("warm", None, 26, 28, 24, 26),
    ]
    assert said == {
        "id": row.pk,
        "code": "cool-rest",
        "name": "With a cool rest",
        "species": {"id": row.species_id, "code": "veiled"},
        "note": "Invented.",
        "retired_on": None,
    }


def bands(kind: str, days: int | None, *ends_c: float) -> Json:
    names = ("day_low_c", "day_high_c", "night_low_c", "night_high_c")
    told: Json = {name: float(end) for name, end in zip(names, ends_c, strict=True)}
    return {"kind": kind, "days": days, **told}


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"species": "dragon"}, 400, {"species": "the code of a species"}),
        ({"code": "two words"}, 409, ["code"]),
        ({"name": " "}, 409, {"name": "1 to 80 characters"}),
        ({"phases": []}, 409, {"phases": "1 to 12"}),
        (
            {
                "phases": [
                    {"kind": "warm", "day_low_c": 25, "day_high_c": 28, "days": 9}
                ]
            },
            409,
            {"days": "empty in the last phase"},
        ),
        (
            {"phases": [{"kind": "warm", "day_low_c": 28, "day_high_c": 25}]},
            409,
            {"phases": "the lower end first"},
        ),
        (
            {"phases": [{"kind": "warm", "day_low_c": 25.05, "day_high_c": 28}]},
            409,
            {"phases": "0 to 45 °C, at most one decimal"},
        ),
        (
            {"phases": [{"kind": "warm", "day_low_c": -1e300, "day_high_c": 1e300}]},
            409,
            {"phases": "0 to 45 °C, at most one decimal"},
        ),
        (
            {"phases": [{"kind": "hot", "day_low_c": 25, "day_high_c": 28}]},
            400,
            ["phases[0].kind"],
        ),
        ({"phases": None}, 400, ["phases"]),
        ({"plan": 1}, 400, ["plan"]),
    ],
)
def test_what_cannot_be_is_refused(
    changes: Json, status: int, fields: Any, given: Json, manager: APIClient
) -> None:
    answer = manager.post(PLANS, given | changes)

    assert answer.status_code == status
    told = answer.json()["fields"]
    assert (told if isinstance(fields, dict) else list(told)) == fields
    assert not IncubationPlan.objects.exists()


def test_a_plan_is_retired_today_or_earlier(manager: APIClient) -> None:
    rows = [IncubationPlanFactory.create() for _ in range(2)]
    today, earlier = (f"{PLANS}{row.pk}/retire/" for row in rows)

    now = manager.post(today)
    then = manager.post(earlier, {"on": "2026-01-31"})
    again = manager.post(earlier, {"on": "2026-01-31"})
    ahead = manager.post(
        f"{PLANS}{IncubationPlanFactory.create().pk}/retire/", {"on": "2199-01-01"}
    )

    assert (now.status_code, now.json()["retired_on"] is None) == (200, False)
    assert (then.status_code, then.json()["retired_on"]) == (200, "2026-01-31")
    assert (again.status_code, ahead.status_code) == (409, 409)


@pytest.mark.parametrize("role", [Role.KEEPER, Role.VET])
def test_who_sets_no_policies_makes_no_plan(
    role: Role, given: Json, caller: Caller
) -> None:
    assert caller(role).post(PLANS, given).status_code == 403
    assert not IncubationPlan.objects.exists()
