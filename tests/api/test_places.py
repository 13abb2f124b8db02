"""The organisation, its sites and rooms: added, renamed, refused."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry, Organisation, Room, Site
from tests.factories import RoomFactory, SiteFactory

API = "/api/v1"
SITE: dict[str, Any] = {
    "code": "vescora",
    "name": "Vescora House",
    "time_zone": "Europe/Lisbon",
    "latitude_deg": 38.7,
    "longitude_deg": -9.1,
}


def test_the_organisation_is_named_and_renamed(owner: APIClient) -> None:
    assert owner.get(f"{API}/organisation/").json()["code"] == "not_found"

    owner.post(f"{API}/organisation/", {"name": "Willow Bend", "contact": "1 Mill Ln"})
    answer = owner.post(f"{API}/organisation/", {"name": "Willow Bend Rescue"})

    assert answer.status_code == 200
    assert answer.json() == {"name": "Willow Bend Rescue", "contact": ""}
    assert owner.get(f"{API}/organisation/").json() == answer.json()
    assert AuditEntry.objects.filter(verb="name_organisation").count() == 2


@pytest.mark.parametrize(
    ("body", "status"),
    [({"name": ""}, 400), ({"name": "  "}, 409), ({"name": "x" * 121}, 400)],
)
def test_an_organisation_that_cannot_be_is_refused(
    body: dict[str, Any], status: int, owner: APIClient
) -> None:
    answer = owner.post(f"{API}/organisation/", body)

    assert (answer.status_code, "name" in answer.json()["fields"]) == (status, True)
    assert not Organisation.objects.exists()


def test_a_site_is_added_and_renamed(owner: APIClient) -> None:
    added = owner.post(f"{API}/sites/", SITE)

    row = Site.objects.get()
    assert (added.status_code, added.json()) == (201, {"id": row.pk, **SITE})
    renamed = owner.post(f"{API}/sites/{row.pk}/change/", {"name": " Mill House "})
    assert renamed.json() == {"id": row.pk, **SITE, "name": "Mill House"}
    owner.post(f"{API}/sites/{row.pk}/change/", {"name": "Mill House"})
    entries = AuditEntry.objects.order_by("pk").values_list("verb", "before", "after")
    assert list(entries)[1:] == [
        ("change_site", {"name": "Vescora House"}, {"name": "Mill House"})
    ]


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"code": "taken"}, 409, "code"),
        ({"code": "no blanks"}, 409, "code"),
        ({"time_zone": "Europe/Atlantis"}, 409, "time_zone"),
        ({"latitude_deg": 91}, 400, "latitude_deg"),
        ({"name": ""}, 400, "name"),
        ({"moon": "full"}, 400, "moon"),
    ],
)
def test_a_site_that_cannot_be_is_refused(
    changes: dict[str, Any], status: int, field: str, owner: APIClient
) -> None:
    SiteFactory(code="taken")

    answer = owner.post(f"{API}/sites/", SITE | changes)

    assert (answer.status_code, list(answer.json()["fields"])) == (status, [field])
    assert Site.objects.count() == 1


def test_what_a_site_was_judged_by_is_set_once(owner: APIClient) -> None:
    row = SiteFactory(name="Home")
    address = f"{API}/sites/{row.pk}/change/"

    clock = owner.post(address, {"name": "Home", "time_zone": "Asia/Tokyo"})
    blank = owner.post(address, {"name": "  "})

    assert (clock.status_code, blank.status_code) == (400, 409)
    row.refresh_from_db()
    assert (row.name, row.time_zone) == ("Home", "Europe/Lisbon")


def test_a_room_is_added_and_changed(owner: APIClient) -> None:
    site = SiteFactory(code="vescora")

    added = owner.post(
        f"{API}/rooms/", {"site": "vescora", "code": "q", "name": "Quarantine"}
    )

    row = Room.objects.get()
    told = {
        "id": row.pk,
        "code": "q",
        "name": "Quarantine",
        "site": {"id": site.pk, "code": "vescora"},
        "position": 0,
        "quarantine": False,
    }
    assert (added.status_code, added.json()) == (201, told)
    address = f"{API}/rooms/{row.pk}/change/"
    changed = owner.post(address, {"quarantine": True, "position": 9})
    assert changed.json() == {**told, "quarantine": True, "position": 9}
    assert owner.post(address, {"name": "Apart"}).json()["name"] == "Apart"
    entry = AuditEntry.objects.filter(verb="change_room").earliest("pk")
    assert entry.after == {"position": 9, "quarantine": True}


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"site": "nowhere"}, 400, "site"),
        ({"code": "taken"}, 409, "code"),
        ({"code": "ä"}, 409, "code"),
        ({"position": 40_000}, 400, "position"),
    ],
)
def test_a_room_that_cannot_be_is_refused(
    changes: dict[str, Any], status: int, field: str, owner: APIClient
) -> None:
    RoomFactory(site=SiteFactory(code="vescora"), code="taken")
    body = {"site": "vescora", "code": "new", "name": "New"} | changes

    answer = owner.post(f"{API}/rooms/", body)

    assert (answer.status_code, list(answer.json()["fields"])) == (status, [field])
    assert Room.objects.count() == 1


def test_a_room_stays_where_it_is(owner: APIClient) -> None:
    row = RoomFactory(name="Nursery")
    address = f"{API}/rooms/{row.pk}/change/"

    assert owner.post(address, {"site": "other"}).status_code == 400
    assert owner.post(address, {"name": " "}).status_code == 409
    assert owner.post(address, {}).json()["name"] == "Nursery"
    assert not AuditEntry.objects.exists()
