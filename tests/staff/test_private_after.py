"""A home answers and tells of its animal on its private page."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from placements.actions.private_addresses import give_address
from placements.models import HomeReport
from tests.factories import (
    FollowUpFactory,
    HomeFactory,
    HomeReportFactory,
    PlacementFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def stranger() -> Client:
    return Client(enforce_csrf_checks=True)


def _page(placement: Any) -> str:
    _, secret = give_address(placement=placement, by=None, at=timezone.now())
    return f"/home/{secret}/"


def test_a_home_answers_when_it_is_asked(stranger: Client) -> None:
    placement = PlacementFactory(handed_over=True)
    today = timezone.localdate()
    due = FollowUpFactory(placement=placement, due_on=today + timedelta(7))
    later = FollowUpFactory(
        placement=placement, kind="three_months", due_on=today + timedelta(8)
    )
    page = _page(placement)

    before = stranger.get(page).content.decode()
    answer = stranger.post(
        f"{page}follow-ups/{due.pk}/", {"doing": "worried", "told": "It sits low."}
    )
    after = stranger.get(page).content.decode()

    assert f"/follow-ups/{due.pk}/" in before
    assert f"/follow-ups/{later.pk}/" not in before
    assert "call a licensed reptile vet" in before
    assert answer.status_code == 302
    due.refresh_from_db()
    assert due.answers == {"doing": "worried", "told": "It sits low."}
    assert due.recorded_by is None
    assert HomeReport.objects.get().kind == "health"
    assert "Thank you. It is kept" in after
    assert "do not wait for our answer" in after
    assert f"/follow-ups/{due.pk}/" not in after
    assert "It sits low." not in after


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"told": "Fine, all in all."}, "needs an answer."),
        ({"doing": "splendid", "told": "Fine, all in all."}, "Select a valid choice."),
    ],
)
def test_bad_answers_stay_typed(
    given: dict[str, str], told: str, stranger: Client
) -> None:
    follow_up = FollowUpFactory(
        placement=PlacementFactory(handed_over=True), due_on=timezone.localdate()
    )
    page = _page(follow_up.placement)

    answer = stranger.post(f"{page}follow-ups/{follow_up.pk}/", given)

    assert answer.status_code == 400
    assert told in answer.content.decode()
    assert "Fine, all in all." in answer.content.decode()


def test_a_home_reports_weight_eggs_and_death(stranger: Client) -> None:
    placement = PlacementFactory(handed_over=True, home=HomeFactory(units="imperial"))
    page = _page(placement)
    today = str(timezone.localdate())

    for told in (
        {"kind": "weight", "mass_g": "4", "on": today},
        {"kind": "eggs", "eggs": "31", "on": today},
        {"kind": "death", "note": "In the morning.", "on": today},
    ):
        answer = stranger.post(f"{page}animals/{placement.pk}/", told)
        assert answer.status_code == 302, answer.content.decode()

    assert list(
        placement.reports.order_by("pk").values_list("kind", "mass_g", "eggs")
    ) == [
        ("weight", Decimal("113.40"), None),
        ("eggs", None, 31),
        ("death", None, None),
    ]
    text = stranger.get(page).content.decode()
    assert "Weight, if you weighed it, oz" in text
    assert "eggs that it laid" in text


def test_bad_reports_stay_typed(stranger: Client) -> None:
    placement = PlacementFactory(handed_over=True)
    page = _page(placement)
    given = {
        "kind": "weight",
        "on": "2020-01-01",
        "mass_g": "",
        "note": "Thin, I fear.",
    }

    answer = stranger.post(f"{page}animals/{placement.pk}/", given)

    text = answer.content.decode()
    assert answer.status_code == 400
    assert "A weight needs its grams." in text
    assert "lies before the animal left" in text
    assert "Thin, I fear." in text
    assert "<details open>" in text


def test_animals_and_questions_of_other_homes_are_not_there(stranger: Client) -> None:
    page = _page(PlacementFactory(handed_over=True))
    other = FollowUpFactory(placement=PlacementFactory(handed_over=True))
    HomeReportFactory(placement=other.placement, note="Their secret.")
    told = {"kind": "note", "note": "x", "on": str(timezone.localdate())}

    assert stranger.post(f"{page}follow-ups/{other.pk}/", {}).status_code == 404
    assert (
        stranger.post(f"{page}animals/{other.placement_id}/", told).status_code == 404
    )
    assert "Their secret." not in stranger.get(page).content.decode()


def test_nobody_is_asked_before_the_animal_came_or_after_it_came_back(
    stranger: Client,
) -> None:
    back = PlacementFactory(
        handed_over=True, state="came_back", ended_on=timezone.localdate()
    )

    for placement in (PlacementFactory(), back):
        page = _page(placement)
        told = {"kind": "note", "note": "x", "on": str(timezone.localdate())}
        assert "How is it doing?" not in stranger.get(page).content.decode()
        assert stranger.post(f"{page}animals/{placement.pk}/", told).status_code == 400
    assert not HomeReport.objects.exists()
