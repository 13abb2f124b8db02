"""How the installation is, to whom it says what, and when it says ailing."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.db import OperationalError, connection
from django.utils import timezone
from rest_framework.test import APIClient

from core.models import User
from tests.factories import (
    PacketJobFactory,
    ReviewRunFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)

HEALTH = "/api/v1/health/"
HOUR = timedelta(hours=1)


def anonymous() -> Any:
    return APIClient().get(HEALTH)


def yesterday() -> Any:
    return timezone.now().date() - timedelta(days=1)


@pytest.mark.django_db
def test_a_new_installation_is_well_and_says_no_more() -> None:
    answer = anonymous()

    assert (answer.status_code, answer.json()) == (200, {"status": "ok"})
    assert answer["Cache-Control"] == "no-store"


def test_its_people_get_the_parts(viewer: APIClient) -> None:
    site = SiteFactory(code="home", time_zone="UTC")
    run = ReviewRunFactory(site=site, on=yesterday())
    ReviewRunFactory(
        site=site,
        on=yesterday() - timedelta(days=1),
        started_by=UserFactory(),
        started_at=timezone.now(),
    )
    asked_at = timezone.now() - timedelta(minutes=5)
    PacketJobFactory(asked_at=asked_at)

    answer = viewer.get(HEALTH)

    assert answer.status_code == 200
    found = answer.json()
    assert found.pop("worker_seen_at")[:19] == f"{run.started_at:%Y-%m-%dT%H:%M:%S}"
    assert found.pop("packet_jobs")["waiting"] == 1
    assert found == {
        "status": "ok",
        "version": settings.VERSION,
        "database": True,
        "nights": [
            {
                "site": {"id": site.pk, "code": "home"},
                "reviewed_on": yesterday().isoformat(),
                "overdue_on": None,
            }
        ],
    }


def test_a_night_that_was_not_reviewed_is_told(viewer: APIClient) -> None:
    now = timezone.now()
    stay = StayFactory(
        enclosure__room__site__time_zone="UTC", from_at=now - timedelta(days=3)
    )
    site = stay.enclosure.room.site
    first = now.date() - timedelta(days=3)
    ReviewRunFactory(site=site, on=first)

    open_, told = anonymous(), viewer.get(HEALTH)

    # The second day ended a day ago or more: two hours are over.
    assert (open_.status_code, open_.json()) == (503, {"status": "ailing"})
    assert told.status_code == 503
    assert told.json()["status"] == "ailing"
    (night,) = told.json()["nights"]
    assert night["reviewed_on"] == first.isoformat()
    assert night["overdue_on"] == (first + timedelta(days=1)).isoformat()


@pytest.mark.django_db
@pytest.mark.parametrize(("minutes", "status"), [(9, 200), (11, 503)])
def test_packets_that_nobody_draws_are_told(minutes: int, status: int) -> None:
    PacketJobFactory(asked_at=timezone.now() - timedelta(minutes=minutes))

    assert anonymous().status_code == status


def test_a_database_that_does_not_answer_is_told(viewer: APIClient) -> None:
    def refuse(execute: Callable[..., object], *_: object) -> object:
        raise OperationalError("gone")

    with connection.execute_wrapper(refuse):
        answers = [anonymous(), viewer.get(HEALTH)]
        # It cannot even be looked up who asks.
        by_token = APIClient()
        by_token.credentials(HTTP_AUTHORIZATION="Bearer sb_12345678_secret")
        answers.append(by_token.get(HEALTH))

    for answer in answers:
        assert (answer.status_code, answer.json()) == (503, {"status": "ailing"})


@pytest.mark.django_db
def test_a_token_that_is_none_is_refused_as_anywhere() -> None:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION="Bearer sb_12345678_secret")

    assert client.get(HEALTH).status_code == 401


def test_who_left_is_told_no_more_than_everybody(viewer: APIClient) -> None:
    User.objects.update(is_active=False)
    client = APIClient()
    client.force_authenticate(User.objects.get())

    assert client.get(HEALTH).json() == {"status": "ok"}


@pytest.mark.django_db
def test_it_costs_the_same_for_one_site_and_for_three(
    viewer: APIClient, django_assert_num_queries: Any
) -> None:
    for more in (1, 2):
        for _ in range(more):
            StayFactory()
            ReviewRunFactory(on=yesterday())
            PacketJobFactory()
        with django_assert_num_queries(9):
            viewer.get(HEALTH)
