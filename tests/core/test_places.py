"""What sites and rooms are called, changed by one action each."""

import pytest

from core.actions import PlaceError
from core.models import AuditEntry
from core.places import change_room, change_site
from tests.factories import NOW, RoomFactory, SiteFactory, UserFactory

pytestmark = pytest.mark.django_db


def test_a_site_is_renamed_once() -> None:
    site, person = SiteFactory(name="Home"), UserFactory()

    for _ in range(2):
        assert change_site(site=site, name=" House ", by=person, at=NOW).name == "House"

    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.at) == ("change_site", person, NOW)
    assert (entry.before, entry.after) == ({"name": "Home"}, {"name": "House"})


def test_of_a_room_only_what_is_given_changes() -> None:
    room = RoomFactory(name="Nursery", position=3)

    changed = change_room(room=room, quarantine=True, by=None, at=NOW)

    assert (changed.name, changed.position, changed.quarantine) == ("Nursery", 3, True)
    entry = AuditEntry.objects.get()
    assert (entry.before, entry.after) == ({"quarantine": False}, {"quarantine": True})


def test_a_name_that_cannot_be_is_refused() -> None:
    site, room = SiteFactory(), RoomFactory()

    with pytest.raises(PlaceError) as blank:
        change_site(site=site, name=" ", by=None, at=NOW)
    with pytest.raises(PlaceError) as long:
        change_room(room=room, name="x" * 121, by=None, at=NOW)

    assert list(blank.value.fields) == list(long.value.fields) == ["name"]
    assert not AuditEntry.objects.exists()
