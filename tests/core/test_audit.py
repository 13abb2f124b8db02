"""The audit trail cannot be rewritten, whoever asks the database."""

import importlib
from datetime import date
from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction

from core import audit
from core.models import AuditEntry
from core.roles import Role
from tests.factories import NOW, AuditEntryFactory, RoomFactory, UserFactory

guard = importlib.import_module("core.migrations.0002_audit_append_only")


@pytest.fixture
def guarded(db: None) -> None:
    # The session drops this one trigger on SQLite, so that tables can be emptied
    # after tests; here it is made again from the migration, in this transaction.
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(guard.SQLITE_NO_DELETE)


@pytest.mark.usefixtures("guarded")
def test_an_entry_cannot_be_updated() -> None:
    entry = AuditEntryFactory(verb="move_animal")

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        AuditEntry.objects.filter(pk=entry.pk).update(verb="something_else")

    entry.refresh_from_db()
    assert entry.verb == "move_animal"


@pytest.mark.usefixtures("guarded")
def test_an_entry_cannot_be_deleted() -> None:
    entry = AuditEntryFactory()

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        entry.delete()

    assert AuditEntry.objects.filter(pk=entry.pk).exists()


def test_an_entry_says_who_did_what_when_and_why(db: None) -> None:
    room, person = RoomFactory(), UserFactory(role=Role.MANAGER.value)

    audit.record(
        room,
        verb="add_room",
        by=person,
        at=NOW,
        before={"name": "old"},
        after={"name": "new", "on": date(2026, 3, 2), "mass_g": Decimal("1.50")},
        reason="the sign was repainted",
    )

    entry = AuditEntry.objects.get()
    assert (entry.subject, entry.subject_id) == ("core.room", str(room.pk))
    assert (entry.verb, entry.by, entry.at) == ("add_room", person, NOW)
    assert entry.before == {"name": "old"}
    assert entry.after == {"name": "new", "on": "2026-03-02", "mass_g": "1.50"}
    assert entry.reason == "the sign was repainted"


def test_values_name_a_linked_record_by_its_key(db: None) -> None:
    room = RoomFactory(name="Nursery")

    assert audit.values(room, "name", "site") == {
        "name": "Nursery",
        "site": room.site.pk,
    }


def test_the_program_itself_is_nobody(db: None) -> None:
    entry = audit.record(RoomFactory(), verb="review_night", by=None, at=NOW)

    entry.refresh_from_db()
    assert entry.by is None
    assert (entry.before, entry.after, entry.reason) == ({}, {}, "")


@pytest.mark.django_db
def test_many_deeds_leave_an_entry_each_in_their_order() -> None:
    person, rooms = UserFactory(), [RoomFactory(), RoomFactory()]
    deeds = [
        audit.Deed(rooms[0], "add_room", after={"on": date(2026, 3, 1)}),
        audit.Deed(
            rooms[1], "mend_room", before={"n": 1}, after={"n": 2}, reason="A slip."
        ),
    ]

    audit.record_all(deeds, by=person, at=NOW)
    audit.record_all([], by=person, at=NOW)

    first, second = AuditEntry.objects.order_by("pk")
    assert (first.verb, first.subject, first.subject_id) == (
        *("add_room", "core.room", str(rooms[0].pk)),
    )
    assert (first.before, first.after, first.reason) == ({}, {"on": "2026-03-01"}, "")
    assert (second.before, second.after, second.reason) == (
        *({"n": 1}, {"n": 2}, "A slip."),
    )
    assert {(e.by, e.at) for e in (first, second)} == {(person, NOW)}
