"""One's own addresses of the calendar over the API, and the feed by a token."""

import icalendar
import pytest
from django.core.cache import cache
from django.test import Client
from rest_framework.test import APIClient

from core.models import AuditEntry, CalendarAddress, User
from core.roles import Role
from tests.factories import CalendarAddressFactory
from tests.nightly.world import World, make_world

CALENDARS = "/api/v1/calendars/"
ICS = {"accept": "text/calendar"}


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def test_an_address_is_issued_once_read_and_revoked(
    viewer: APIClient, world: World
) -> None:
    made = viewer.post(CALENDARS, {"name": "my phone"})

    row = CalendarAddress.objects.get()
    assert (made.status_code, made["Cache-Control"]) == (201, "no-store")
    found = made.json()
    address = found.pop("address")
    told = {
        "id": row.pk,
        "name": "my phone",
        "prefix": row.prefix,
        "created_at": found["created_at"],
        "revoked_at": None,
        "last_used_at": None,
    }
    assert found == told
    assert viewer.get(CALENDARS).json()["results"] == [told]
    # The secret part is in the one answer and in nothing that was kept.
    secret = address.removesuffix(".ics").partition("_")[2]
    entry = AuditEntry.objects.get(verb="issue_address")
    kept = f"{CalendarAddress.objects.values().get()} {entry.after}"
    assert len(secret) >= 43
    assert secret not in kept
    path = address.removeprefix("http://testserver")
    assert Client().get(path).status_code == 200
    revoke = f"{CALENDARS}{row.pk}/revoke/"
    assert viewer.post(revoke).json()["revoked_at"] is not None
    assert Client().get(path).status_code == 404
    assert viewer.post(revoke).status_code == 409


def test_nobody_elses_address_is_there(viewer: APIClient) -> None:
    other = CalendarAddressFactory()

    assert viewer.get(CALENDARS).json()["results"] == []
    assert viewer.get(f"{CALENDARS}{other.pk}/").status_code == 404
    assert viewer.post(f"{CALENDARS}{other.pk}/revoke/").status_code == 404


def test_an_address_needs_a_name(viewer: APIClient) -> None:
    assert viewer.post(CALENDARS, {"name": ""}).status_code == 400
    assert viewer.post(CALENDARS, {"name": "  "}).status_code == 409


def test_the_feed_is_the_one_of_the_address(viewer: APIClient, world: World) -> None:
    address = viewer.post(CALENDARS, {"name": "phone"}).json()["address"]
    by_address = Client().get(address.removeprefix("http://testserver"))
    cache.clear()

    answer = viewer.get(f"{CALENDARS}care/", headers=ICS)

    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar")
    assert answer.content == by_address.content
    # Read back by a library that keeps RFC 5545.
    entries = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert entries


def test_the_feed_takes_no_other_form(viewer: APIClient) -> None:
    answer = viewer.get(f"{CALENDARS}care/", headers={"accept": "application/json"})

    assert answer.status_code == 406
    assert User.objects.get().role == Role.VIEWER.value
