"""Changing people, and keeping reference data."""

from typing import Any

import pytest

from core.actions import PersonError
from core.models import AuditEntry, Room, User
from core.people import change_person, set_password
from core.reference import keep_reference
from core.roles import Role
from tests.factories import NOW, PASSWORD, RoomFactory, UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return UserFactory.create(role=Role.OWNER.value)


def test_a_change_is_stored_with_what_was_before(owner: User) -> None:
    keeper = UserFactory.create()

    changed = change_person(
        person=keeper, changes={"role": "vet", "is_active": False}, by=owner, at=NOW
    )

    keeper.refresh_from_db()
    assert (keeper.role, keeper.is_active) == (changed.role, False) == ("vet", False)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.subject_id) == (
        "change_person",
        owner,
        str(keeper.pk),
    )
    assert entry.before == {"is_active": True, "role": "keeper"}
    assert entry.after == {"is_active": False, "role": "vet"}


@pytest.mark.parametrize("changes", [{"role": "keeper"}, {"is_active": False}])
def test_the_last_owner_stays(owner: User, changes: dict[str, Any]) -> None:
    UserFactory.create(role=Role.OWNER.value, is_active=False)

    with pytest.raises(PersonError, match="is the only active owner") as caught:
        change_person(person=owner, changes=changes, by=owner, at=NOW)

    assert caught.value.fields == {"role": "owner, while there is no other"}
    owner.refresh_from_db()
    assert (owner.role, owner.is_active) == ("owner", True)
    assert not AuditEntry.objects.exists()


def test_one_of_two_owners_may_go(owner: User) -> None:
    UserFactory.create(role=Role.OWNER.value)

    assert not change_person(
        person=owner, changes={"is_active": False}, by=owner, at=NOW
    ).is_active


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"role": "king"}, "role: Value 'king' is not a valid choice"),
        ({"email": "no"}, "email: Enter a valid email address"),
        ({"is_superuser": True}, "is_superuser cannot be changed here; what can"),
        ({"password": "x"}, "password cannot be changed here"),
    ],
)
def test_what_cannot_be_is_refused(
    owner: User, changes: dict[str, Any], said: str
) -> None:
    keeper = UserFactory.create()

    with pytest.raises(PersonError, match=said):
        change_person(person=keeper, changes=changes, by=owner, at=NOW)

    assert not AuditEntry.objects.exists()


def test_a_new_password_is_kept_as_a_hash_only(owner: User) -> None:
    keeper = UserFactory.create()

    set_password(person=keeper, password="a cool misty night", by=owner, at=NOW)

    keeper.refresh_from_db()
    assert keeper.check_password("a cool misty night")
    assert not keeper.check_password(PASSWORD)
    [entry] = AuditEntry.objects.all()
    assert (entry.verb, entry.before, entry.after) == ("set_password", {}, {})


def test_a_weak_password_is_refused(owner: User) -> None:
    with pytest.raises(PersonError, match="too short"):
        set_password(person=owner, password="short", by=owner, at=NOW)

    owner.refresh_from_db()
    assert owner.check_password(PASSWORD)


def test_reference_data_are_added_and_changed_with_a_trace(owner: User) -> None:
    site = RoomFactory.create().site
    room = Room(site=site, code="shed", name="Shed")

    keep_reference(row=room, changed=["code", "name"], by=owner, at=NOW)
    room.name = "Old shed"
    keep_reference(row=room, changed=["name"], by=owner, at=NOW)

    added, changed = AuditEntry.objects.order_by("pk")
    assert (added.verb, added.before) == ("add_room", {})
    assert added.after == {"code": "shed", "name": "Shed"}
    assert (changed.verb, changed.before, changed.after) == (
        "change_room",
        {"name": "Shed"},
        {"name": "Old shed"},
    )
