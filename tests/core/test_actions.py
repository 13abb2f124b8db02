"""The organisation, people, sites and rooms."""

from typing import Any

import pytest

from core.actions import (
    PersonError,
    PlaceError,
    add_room,
    add_site,
    name_organisation,
    register_user,
)
from core.models import AuditEntry, Organisation, Room, Site, User
from core.roles import Role
from tests.factories import NOW, SiteFactory, UserFactory

pytestmark = pytest.mark.django_db


def _entry() -> AuditEntry:
    return AuditEntry.objects.get()


def test_an_organisation_is_named_and_renamed() -> None:
    owner = UserFactory()

    name_organisation(name="Willow Bend", contact="1 Mill Lane", by=owner, at=NOW)
    name_organisation(name="Willow Bend Rescue", contact="", by=owner, at=NOW)

    assert Organisation.objects.get().name == "Willow Bend Rescue"
    last = AuditEntry.objects.latest("pk")
    assert last.before == {"name": "Willow Bend", "contact": "1 Mill Lane"}
    assert last.after == {"name": "Willow Bend Rescue", "contact": ""}


def test_an_organisation_without_a_name_is_refused() -> None:
    with pytest.raises(PlaceError, match="needs a name"):
        name_organisation(name=" ", contact="", by=None, at=NOW)

    assert not Organisation.objects.exists()


def test_a_registered_person_can_sign_in_and_the_password_is_nowhere() -> None:
    person = register_user(
        username="mara", role=Role.KEEPER, password="dim warm room", by=None, at=NOW
    )

    person.refresh_from_db()
    assert person.check_password("dim warm room")
    assert (person.role, person.is_staff, person.is_superuser) == (
        "keeper",
        False,
        False,
    )
    assert "dim warm room" not in str([_entry().before, _entry().after])
    assert _entry().after["role"] == "keeper"


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"username": "taken"}, "username", "taken"),
        ({"username": "with space"}, "username", "valid username"),
        ({"username": ""}, "username", "blank"),
        ({"password": "short"}, "password", "too short"),
        ({"password": "password"}, "password", "too common"),
        ({"email": "no address"}, "email", "valid email"),
    ],
)
def test_a_person_that_cannot_be_is_refused(
    changes: dict[str, Any], field: str, said: str
) -> None:
    UserFactory(username="taken")
    asked = {"username": "mara", "role": Role.VIEWER, "password": "dim warm room"}

    with pytest.raises(PersonError, match=said) as refused:
        register_user(**(asked | changes), by=None, at=NOW)

    assert set(refused.value.fields) == {field}
    assert User.objects.count() == 1
    assert not AuditEntry.objects.exists()


SITE = {
    "code": "north",
    "name": "North house",
    "time_zone": "Europe/Lisbon",
    "latitude_deg": 38.7,
    "longitude_deg": -9.1,
}


def test_a_site_is_added() -> None:
    site = add_site(**SITE, by=None, at=NOW)

    site.refresh_from_db()
    assert {name: getattr(site, name) for name in SITE} == SITE
    assert (_entry().verb, _entry().after) == ("add_site", SITE)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"code": "taken"}, "code"),
        ({"code": "two words"}, "code"),
        ({"time_zone": "Lisbon"}, "time_zone"),
        ({"latitude_deg": 90.1}, "latitude_deg"),
        ({"longitude_deg": -180.1}, "longitude_deg"),
        ({"name": ""}, "name"),
    ],
)
def test_a_site_that_cannot_be_is_refused(changes: dict[str, Any], field: str) -> None:
    SiteFactory(code="taken")

    with pytest.raises(PlaceError) as refused:
        add_site(**(SITE | changes), by=None, at=NOW)

    assert set(refused.value.fields) == {field}
    assert Site.objects.count() == 1
    assert not AuditEntry.objects.exists()


def test_a_room_says_whether_it_is_quarantine() -> None:
    given = {"site": SiteFactory(), "by": None, "at": NOW}

    kept_apart = add_room(code="apart", name="Apart", quarantine=True, **given)
    said = _entry().after
    open_room = add_room(code="open", name="Open", **given)

    assert Room.objects.get(pk=kept_apart.pk).quarantine
    assert not Room.objects.get(pk=open_room.pk).quarantine
    assert said["quarantine"] is True


def test_a_room_is_added_once_a_site() -> None:
    north, south = SiteFactory(), SiteFactory()
    add_room(site=north, code="nursery", name="Nursery", position=2, by=None, at=NOW)
    add_room(site=south, code="nursery", name="Nursery", by=None, at=NOW)

    with pytest.raises(PlaceError, match="has a room nursery already"):
        add_room(site=north, code="nursery", name="Other", by=None, at=NOW)

    assert [(r.site, r.position) for r in Room.objects.order_by("pk")] == [
        (north, 2),
        (south, 0),
    ]
    assert AuditEntry.objects.count() == 2
