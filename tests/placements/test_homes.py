"""Homes on record: held to what can be kept, and nothing of them in the audit trail."""

import json
from datetime import timedelta

import pytest

from core.models import AuditEntry
from placements.actions.homes import (
    HomeError,
    add_home,
    correct_home,
    keep_data_until,
)
from placements.models import Home
from placements.rules.homes import HomeDetails
from placements.rules.vocabulary import HomeKind, Paper, UnitSystem
from tests.factories import NOW, TODAY, HomeFactory, UserFactory

pytestmark = pytest.mark.django_db


def test_a_home_is_recorded() -> None:
    person = UserFactory.create()

    home = add_home(
        name=" The Greys ",
        contact="2 Mill Lane\r\nTelephone 0",
        email="greys@example.org",
        notes="A tall room.",
        kind=HomeKind.ORGANISATION,
        units=UnitSystem.IMPERIAL,
        paper=Paper.LETTER,
        language="pt-BR",
        by=person,
        at=NOW,
    )

    assert Home.objects.values().get() == {
        "id": home.pk,
        "name": "The Greys",
        "kind": "organisation",
        "contact": "2 Mill Lane\nTelephone 0",
        "email": "greys@example.org",
        "notes": "A tall room.",
        "units": "imperial",
        "paper": "letter",
        "language": "pt-BR",
        "keep_until": None,
        "erased_at": None,
        "erased_by_id": None,
        "created_at": NOW,
    }
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("add_home", person)
    assert (entry.before, entry.after, entry.reason) == ({}, {}, "")


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("name", "", "A home needs a name."),
        ("name", "x" * 121, "This has 121 characters; up to 120 are kept."),
        ("name", "a\nb", "A name stands on one line."),
        ("name", "(erased)", "(erased) stands for a name that was erased"),
        ("name", "a\x00", "Character 2 is U+0000"),
        ("contact", "\u202eabc", "Character 1 is U+202E"),
        ("contact", "x" * 1_001, "This has 1,001 characters"),
        ("notes", "x" * 4_001, "This has 4,001 characters"),
        ("email", "greys", "Give one e-mail address"),
        ("email", "a@b", "Give one e-mail address"),
        ("email", "a@b.c, d@e.f", "Give one e-mail address"),
        ("email", "<a@b.org>", "Give one e-mail address"),
        ("email", "a b@c.org", "Give one e-mail address"),
        ("language", "English", "Give a language as BCP 47 writes it"),
        ("language", "en-aaaaaaaaaa", "Give a language as BCP 47 writes it"),
    ],
)
def test_what_cannot_be_kept_is_told_beside_its_field(
    field: str, value: str, told: str
) -> None:
    given = {"name": "The Greys", "contact": "", field: value}

    with pytest.raises(HomeError) as refused:
        add_home(**given, by=None, at=NOW)

    assert list(refused.value.fields) == [field]
    assert refused.value.fields[field].startswith(told)
    assert not Home.objects.exists()
    assert not AuditEntry.objects.exists()


def test_a_home_is_put_right() -> None:
    home = HomeFactory.create(name="The Grays", notes="A tall room.")

    row = correct_home(
        home=home,
        details=HomeDetails("The Greys", "2 Mill Lane", notes="A tall room."),
        by=None,
        at=NOW,
    )

    assert row.name == Home.objects.get().name == "The Greys"
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.after) == ("correct_home", {"fields": ["name"]})
    with pytest.raises(HomeError, match="needs a name"):
        correct_home(home=home, details=HomeDetails(" "), by=None, at=NOW)


def test_how_long_data_are_kept_is_noted() -> None:
    home = HomeFactory.create()

    keep_data_until(home=home, until=TODAY, on=TODAY, by=None, at=NOW)

    assert Home.objects.get().keep_until == TODAY
    assert AuditEntry.objects.get().after == {"keep_until": TODAY.isoformat()}
    with pytest.raises(HomeError, match="is past"):
        keep_data_until(
            home=home, until=TODAY - timedelta(days=1), on=TODAY, by=None, at=NOW
        )
    keep_data_until(home=home, until=None, on=TODAY, by=None, at=NOW)
    assert Home.objects.get().keep_until is None


def test_an_erased_home_stays_as_it_is() -> None:
    home = HomeFactory.create(name="(erased)", contact="", erased_at=NOW)

    with pytest.raises(HomeError, match="were erased on 02 Mar 2026"):
        correct_home(home=home, details=HomeDetails("The Greys"), by=None, at=NOW)
    with pytest.raises(HomeError, match="were erased"):
        keep_data_until(home=home, until=None, on=TODAY, by=None, at=NOW)


def test_no_value_of_a_home_is_in_the_audit_trail() -> None:
    home = add_home(name="Zebulon", contact="Zebulon 1", by=None, at=NOW)
    correct_home(
        home=home, details=HomeDetails("Zebulon II", notes="Zebulon"), by=None, at=NOW
    )

    rows = AuditEntry.objects.values("before", "after", "reason")
    assert "Zebulon" not in json.dumps(list(rows))
