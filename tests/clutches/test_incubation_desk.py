"""The back office makes incubation plans whole and retires them."""

import pytest
from django.test import Client

from clutches.models import IncubationPlan
from core.roles import Role
from tests.factories import IncubationPlanFactory, SpeciesFactory, UserFactory

pytestmark = pytest.mark.django_db
ADD = "/admin/clutches/incubationplan/add/"


@pytest.fixture
def manager() -> Client:
    client = Client()
    client.force_login(UserFactory.create(role=Role.MANAGER))
    return client


def typed(**changes: object) -> dict[str, object]:
    return {
        "code": "cool-rest",
        "name": "With a cool rest",
        "species": SpeciesFactory.create().pk,
        "phases_typed": "warm; 45 days; 25–28\ncool; 60; 17–20\nwarm;; 26–28; 24–26",
        "note": "",
        **changes,
    }


def test_a_plan_is_typed_line_by_line(manager: Client) -> None:
    answer = manager.post(ADD, typed())

    assert answer.status_code == 302
    plan = IncubationPlan.objects.get()
    assert [(p.kind, p.days, float(p.night_low_c)) for p in plan.phases.all()] == [
        ("warm", 45, 25.0),
        ("cool", 60, 17.0),
        ("warm", None, 24.0),
    ]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"phases_typed": "warm; 45 days"}, "is no phase"),
        ({"phases_typed": " "}, "A plan has 1 to 12 phases"),
        ({"phases_typed": "warm; 45; 25–28"}, "is the last one and ends after 45 days"),
        ({"code": "two words"}, "cannot be a plan"),
    ],
)
def test_a_refusal_is_told_and_what_was_typed_is_kept(
    changes: dict[str, object], said: str, manager: Client
) -> None:
    answer = manager.post(ADD, typed(**changes))

    page = answer.content.decode()
    assert answer.status_code == 200
    assert said in page
    assert 'value="With a cool rest"' in page
    assert not IncubationPlan.objects.exists()


def test_a_plan_is_retired_and_then_no_form_is_left(manager: Client) -> None:
    plan = IncubationPlanFactory.create()
    page = f"/admin/clutches/incubationplan/{plan.pk}/change/"

    refused = manager.post(page, {"retire_on": "2199-01-01"})
    taken = manager.post(page, {"retire_on": "2026-01-31"})

    plan.refresh_from_db()
    assert b"is to come" in refused.content
    assert (taken.status_code, str(plan.retired_on)) == (302, "2026-01-31")
    assert b'name="_save"' not in manager.get(page).content
