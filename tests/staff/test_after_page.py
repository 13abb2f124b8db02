"""The pages of what comes after an animal has left."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from core.roles import Role
from placements.models import HomeReport
from tests.factories import (
    NOW,
    FollowUpFactory,
    HomeReportFactory,
    PlacementFactory,
)
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db


@pytest.fixture
def coordinator(visitor: Visitor) -> Client:
    return visitor(Role.ADOPTION_COORDINATOR)


def test_it_shows_what_was_asked_answered_and_told(coordinator: Client) -> None:
    placement = PlacementFactory(handed_over=True)
    FollowUpFactory(
        placement=placement,
        answered_at=NOW,
        answers={"doing": "well", "told": "Loves <hornworms>."},
    )
    FollowUpFactory(
        placement=placement,
        kind="three_months",
        due_on=timezone.localdate() - timedelta(days=4),
    )
    FollowUpFactory(
        placement=placement,
        kind="twelve_months",
        dropped_at=NOW,
        dropped_reason="Moved abroad.",
    )
    HomeReportFactory(placement=placement, kind="health", note="It sits low.")
    HomeReportFactory(placement=placement, kind="weight", mass_g=98, seen_at=NOW)

    text = coordinator.get(f"/after/{placement.pk}/").content.decode()

    assert "answered on 2 Mar 2026 by the home itself" in text
    assert "Loves &lt;hornworms&gt;." in text
    assert "How is the animal doing?</dt><dd>Well</dd>" in text
    assert "4 days late" in text
    assert "Moved abroad." in text
    assert "It sits low." in text
    assert "Weight: 98.0 g" in text
    assert "licensed reptile vet" in text
    assert text.count("I have looked at it") == 1


def test_answers_are_written_down_and_asking_is_dropped(coordinator: Client) -> None:
    placement = PlacementFactory(handed_over=True)
    first = FollowUpFactory(placement=placement)
    second = FollowUpFactory(placement=placement, kind="three_months")

    bad = coordinator.post(
        f"/after/asked/{first.pk}/answer/", {"told": "Fine, all in all."}
    )
    good = coordinator.post(f"/after/asked/{first.pk}/answer/", {"doing": "well"})
    no_reason = coordinator.post(f"/after/asked/{second.pk}/drop/", {"reason": " "})
    dropped = coordinator.post(f"/after/asked/{second.pk}/drop/", {"reason": "Away."})
    again = coordinator.post(f"/after/asked/{second.pk}/drop/", {"reason": "Away."})

    assert [a.status_code for a in (bad, good, no_reason, dropped, again)] == [
        400,
        302,
        400,
        302,
        400,
    ]
    assert "needs an answer." in bad.content.decode()
    assert "Fine, all in all." in bad.content.decode()
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.answers, second.dropped_reason) == ({"doing": "well"}, "Away.")
    assert first.recorded_by is not None


def test_reports_are_written_down_and_looked_at(coordinator: Client) -> None:
    placement = PlacementFactory(handed_over=True)
    told: dict[str, Any] = {"kind": "eggs", "on": str(timezone.localdate())}

    bad = coordinator.post(f"/after/{placement.pk}/report/", told)
    good = coordinator.post(f"/after/{placement.pk}/report/", {**told, "eggs": "28"})
    report = HomeReport.objects.get()
    coordinator.post(f"/after/told/{report.pk}/seen/")

    assert (bad.status_code, good.status_code) == (400, 302)
    assert "Say how many eggs were laid" in bad.content.decode()
    report.refresh_from_db()
    assert (report.eggs, report.seen_by is not None) == (28, True)


def test_the_list_tells_whom_to_ask_and_costs_the_same_for_more(
    coordinator: Client,
) -> None:
    def fill() -> None:
        placement = PlacementFactory(handed_over=True)
        FollowUpFactory(placement=placement)
        HomeReportFactory(placement=placement, kind="death", note="A secret.")

    assert b"Nobody is to be asked." in coordinator.get("/after/").content
    fill()
    with CaptureQueriesContext(connection) as few:
        coordinator.get("/after/")
    for _ in range(3):
        fill()
    with CaptureQueriesContext(connection) as many:
        text = coordinator.get("/after/").content.decode()

    assert len(few) == len(many)
    assert text.count("after two weeks") == 4
    assert text.count("Death, 2 Mar 2026") == 4
    assert "A secret." not in text
