"""Homes in the back office: put right, kept longer, erased; applications decided."""

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from core.roles import Role
from placements.models import Application, Home
from tests.factories import (
    NOW,
    ApplicationFactory,
    HomeFactory,
    PrivateAddressFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import errors, home_typed, text, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def coordinator(visitor: Visitor) -> Client:
    return visitor(Role.ADOPTION_COORDINATOR)


def desk(row: Home, page: str = "change") -> str:
    return url("placements.home", f"{row.pk}/{page}/")


def test_a_home_is_put_right(coordinator: Client) -> None:
    row = HomeFactory.create(name="Household Quey", keep_until=NOW.date())

    answer = coordinator.post(desk(row), home_typed())

    assert (answer.status_code, errors(answer)) == (302, [])
    row.refresh_from_db()
    assert (row.name, row.email) == ("Household Quay", "quay@example.org")
    assert row.keep_until == NOW.date()
    assert AuditEntry.objects.get().verb == "correct_home"


def test_what_cannot_be_kept_says_why(coordinator: Client) -> None:
    row = HomeFactory.create(name="Household")

    answer = coordinator.post(desk(row), {**home_typed(), "name": "\u202eyauQ"})

    assert "U+202E (right-to-left override)" in text(answer)
    assert 'value="quay@example.org"' in text(answer)
    row.refresh_from_db()
    assert row.name == "Household"


def test_its_data_are_kept_longer_and_erased(owner: Client) -> None:
    row = HomeFactory.create(name="Household Quay")
    later = timezone.now().date().replace(year=2099).isoformat()

    owner.post(desk(row, "keep"), {"until": later})
    refused = owner.post(desk(row, "erase"), {"reason": "asked_for"})
    owner.post(desk(row, "keep"), {"until": ""})
    erased = owner.post(desk(row, "erase"), {"reason": "asked_for"}, follow=True)

    assert "have to be kept until 2099" in text(refused)
    assert "(erased) is what is left of a home." in text(erased)
    row.refresh_from_db()
    assert (row.name, row.contact, row.keep_until) == ("(erased)", "", None)
    assert row.erased_by is not None
    assert owner.get(desk(row)).status_code == 200
    assert "Erase its personal data" not in text(owner.get(desk(row)))


def test_a_coordinator_does_not_erase(coordinator: Client) -> None:
    row = HomeFactory.create()

    shown = text(coordinator.get(desk(row)))

    assert "Keep its data longer" in shown
    assert "Erase its personal data" not in shown
    answer = coordinator.post(desk(row, "erase"), {"reason": "asked_for"})
    assert answer.status_code == 403
    row.refresh_from_db()
    assert row.erased_at is None


def decide(client: Client, row: Application, **typed: str) -> Any:
    return client.post(url("placements.application", f"{row.pk}/change/"), typed)


def test_an_application_is_decided(coordinator: Client) -> None:
    row = ApplicationFactory.create(state="accepted")

    answer = decide(coordinator, row, to="waiting", told="We write to you.")

    assert (answer.status_code, errors(answer)) == (302, [])
    row.refresh_from_db()
    assert (row.state, row.told) == ("waiting", "We write to you.")
    assert row.waiting_since is not None


def test_a_decision_that_cannot_be(coordinator: Client) -> None:
    row = ApplicationFactory.create()

    answer = decide(coordinator, row, to="accepted", told="Welcome.")

    assert "from there it cannot become accepted" in text(answer)
    assert "Welcome." in text(answer)
    row.refresh_from_db()
    assert (row.state, row.told) == ("received", "")


def test_what_is_over_is_only_read(coordinator: Client) -> None:
    home = HomeFactory.create(name="(erased)", contact="", erased_at=NOW)

    for row in (
        ApplicationFactory.create(state="declined"),
        ApplicationFactory.create(home=home),
    ):
        assert decide(coordinator, row, to="withdrawn").status_code == 403


def test_a_private_address_is_shown_without_its_digest(coordinator: Client) -> None:
    row = PrivateAddressFactory.create(digest="d" * 64)

    shown = text(coordinator.get(url("placements.privateaddress", f"{row.pk}/change/")))

    assert row.prefix in shown
    assert row.digest not in shown
