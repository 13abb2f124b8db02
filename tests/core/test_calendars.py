"""Calendar addresses: shown once, kept as a digest, useless once revoked or orphaned."""

import json
from datetime import timedelta
from hashlib import sha256

import pytest

from core.calendars import (
    CalendarAddressError,
    issue_address,
    revoke_address,
    verify_address,
)
from core.models import AuditEntry, CalendarAddress
from core.roles import GRANTS, Role
from core.tokens import issue_token, verify_token
from tests.factories import NOW, UserFactory

pytestmark = pytest.mark.django_db


def test_an_address_reads_for_its_person() -> None:
    person = UserFactory.create()

    issued = issue_address(user=person, name=" my phone ", by=person, at=NOW)

    assert verify_address(issued.text, at=NOW) == person
    assert issued.address.name == "my phone"
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("issue_address", person)


def test_only_the_digest_of_the_secret_is_kept() -> None:
    issued = issue_address(user=UserFactory.create(), name="x", by=None, at=NOW)
    prefix, secret = issued.text.split("_", 1)

    row = CalendarAddress.objects.values().get()
    entry = AuditEntry.objects.values("before", "after", "reason").get()
    assert row["prefix"] == prefix
    assert len(secret) >= 43  # 32 random bytes
    assert row["digest"] == sha256(secret.encode()).hexdigest()
    assert secret not in json.dumps([row, entry], default=str)


def test_what_is_no_address_reads_nothing() -> None:
    text = issue_address(user=UserFactory.create(), name="x", by=None, at=NOW).text
    prefix, secret = text.split("_", 1)

    wrong = ["", "_", prefix, f"{prefix}_", secret, f"_{secret}", text[:-1]]
    wrong += [f"{text}A", f"00000000_{secret}", f"sb_{text}", "\x00", f"\x00_{secret}"]
    wrong += ["\ud800_\ud800", f"{prefix}_\ud800", f"{prefix.upper()}x_{secret}"]
    assert [verify_address(w, at=NOW) for w in wrong] == [None] * len(wrong)
    assert CalendarAddress.objects.get().last_used_at is None


def test_addresses_and_tokens_do_not_stand_for_one_another() -> None:
    person = UserFactory.create()
    address = issue_address(user=person, name="x", by=None, at=NOW).text
    token = issue_token(user=person, name="x", by=None, at=NOW).text

    assert verify_token(f"sb_{address}", at=NOW) is None
    assert verify_address(token.removeprefix("sb_"), at=NOW) is None


def test_a_revoked_address_reads_nothing_and_says_who_revoked_it() -> None:
    person = UserFactory.create()
    issued = issue_address(user=person, name="x", by=None, at=NOW)

    revoke_address(address=issued.address, by=person, at=NOW)

    assert verify_address(issued.text, at=NOW) is None
    entry = AuditEntry.objects.get(verb="revoke_address")
    assert (entry.by, entry.after) == (person, {"revoked_at": str(NOW)})
    with pytest.raises(CalendarAddressError, match="revoked already"):
        revoke_address(address=issued.address, by=person, at=NOW)


def test_the_address_of_one_who_left_reads_nothing() -> None:
    person = UserFactory.create()
    text = issue_address(user=person, name="x", by=None, at=NOW).text
    person.is_active = False
    person.save()

    assert verify_address(text, at=NOW) is None


def test_without_sight_of_the_animals_nothing_is_issued_or_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    person = UserFactory.create(role=Role.VIEWER.value)
    text = issue_address(user=person, name="x", by=None, at=NOW).text
    monkeypatch.setitem(GRANTS, Role.VIEWER, frozenset())

    assert verify_address(text, at=NOW) is None
    with pytest.raises(CalendarAddressError, match="may not see animals"):
        issue_address(user=person, name="y", by=None, at=NOW)
    assert CalendarAddress.objects.count() == 1


def test_its_use_is_noted_at_most_once_a_minute() -> None:
    text = issue_address(user=UserFactory.create(), name="x", by=None, at=NOW).text
    noted = []

    for seconds in (0, 59, 60, 61):
        verify_address(text, at=NOW + timedelta(seconds=seconds))
        used_at = CalendarAddress.objects.get().last_used_at
        assert used_at is not None
        noted.append((used_at - NOW).total_seconds())

    assert noted == [0, 0, 60, 60]


@pytest.mark.parametrize("name", ["", "  ", "x" * 81])
def test_an_address_without_a_fit_name_is_refused(name: str) -> None:
    with pytest.raises(CalendarAddressError, match="what reads it"):
        issue_address(user=UserFactory.create(), name=name, by=None, at=NOW)

    assert not CalendarAddress.objects.exists()
