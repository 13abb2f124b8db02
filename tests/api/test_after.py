"""Follow-ups and home reports over the API."""

from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.roles import Role
from placements.models import HomeReport
from placements.rules.home_reports import CAUTION
from tests.api.conftest import Caller
from tests.factories import (
    NOW,
    TODAY,
    FollowUpFactory,
    HomeReportFactory,
    PlacementFactory,
)

pytestmark = pytest.mark.django_db
SECRET = "Aunt Vera looks after it."


@pytest.fixture
def coordinator(caller: Caller) -> APIClient:
    return caller(Role.ADOPTION_COORDINATOR)


def test_a_follow_up_is_answered(coordinator: APIClient) -> None:
    row = FollowUpFactory(placement=PlacementFactory(handed_over=True))
    address = f"/api/v1/follow-ups/{row.pk}/"

    before = coordinator.get(address).json()
    answer = coordinator.post(
        f"{address}answer/",
        {"answers": {"doing": "worried", "told": SECRET}},
        format="json",
    )
    again = coordinator.post(
        f"{address}answer/", {"answers": {"doing": "well"}}, format="json"
    )

    assert [q["id"] for q in before["questions"]] == [
        "doing",
        "eating",
        "settled",
        "told",
    ]
    assert before["questions"][0]["choices"] == ["well", "worried", "died"]
    assert answer.json()["answers"] == {"doing": "worried", "told": SECRET}
    assert HomeReport.objects.get().kind == "health"
    assert (again.status_code, again.json()["code"]) == (409, "follow_up_closed")


def test_bad_answers_name_their_question(coordinator: APIClient) -> None:
    row = FollowUpFactory(placement=PlacementFactory(handed_over=True))

    answer = coordinator.post(
        f"/api/v1/follow-ups/{row.pk}/answer/",
        {"answers": {"doing": "fine"}},
        format="json",
    )

    assert answer.status_code == 409
    assert set(answer.json()["fields"]) == {"doing"}


def test_asking_is_dropped(coordinator: APIClient) -> None:
    row = FollowUpFactory()

    answer = coordinator.post(
        f"/api/v1/follow-ups/{row.pk}/drop/", {"reason": "Moved away."}, format="json"
    )

    assert answer.json()["dropped_reason"] == "Moved away."


def test_a_report_is_written_down_and_seen(coordinator: APIClient) -> None:
    placement = PlacementFactory(handed_over=True)
    given: dict[str, Any] = {
        "placement": placement.pk,
        "kind": "weight",
        "on": str(TODAY),
        "mass_g": 98.5,
    }

    made = coordinator.post("/api/v1/home-reports/", given, format="json")
    again = coordinator.post("/api/v1/home-reports/", given, format="json")
    seen = coordinator.post(f"/api/v1/home-reports/{made.json()['id']}/see/")

    assert (made.status_code, made.json()["mass_g"]) == (201, 98.5)
    assert again.json()["id"] == made.json()["id"]
    assert seen.json()["seen_by"]
    assert seen.json()["caution"] == CAUTION


@pytest.mark.parametrize(
    ("change", "status", "field"),
    [
        ({"placement": 999}, 400, "placement"),
        ({"kind": "eggs"}, 409, "eggs"),
        ({"mass_g": -1}, 409, "mass_g"),
        ({"on": "2020-01-01"}, 409, "on"),
    ],
)
def test_bad_reports_are_refused(
    change: dict[str, Any], status: int, field: str, coordinator: APIClient
) -> None:
    placement = PlacementFactory(handed_over=True)
    given = {"placement": placement.pk, "kind": "weight", "on": str(TODAY)}

    answer = coordinator.post(
        "/api/v1/home-reports/", {**given, **change}, format="json"
    )

    assert answer.status_code == status
    assert field in answer.json()["fields"]
    assert not HomeReport.objects.exists()


def test_what_people_wrote_is_for_those_who_see_homes(caller: Caller) -> None:
    placement = PlacementFactory(handed_over=True)
    FollowUpFactory(
        placement=placement,
        answers={"told": SECRET},
        answered_at=NOW,
        dropped_at=timezone.now(),
        dropped_reason=SECRET,
    )
    HomeReportFactory(placement=placement, note=SECRET)

    for address in ("follow-ups", "home-reports"):
        seen_by_vet = caller(Role.VET).get(f"/api/v1/{address}/")
        seen_by_owner = caller(Role.OWNER).get(f"/api/v1/{address}/")

        assert seen_by_vet.status_code == 200
        assert SECRET not in seen_by_vet.content.decode()
        assert SECRET in seen_by_owner.content.decode()
