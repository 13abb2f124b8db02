"""Tokens: shown once, kept as a digest, useless once expired, revoked or orphaned."""

import json
from datetime import timedelta
from hashlib import sha256

import pytest

from core.models import ApiToken, AuditEntry
from core.tokens import TokenError, issue_token, revoke_token, verify_token
from tests.factories import NOW, UserFactory

pytestmark = pytest.mark.django_db


def test_a_token_acts_for_its_person() -> None:
    person = UserFactory()

    issued = issue_token(user=person, name="night logger", by=person, at=NOW)

    assert verify_token(issued.text, at=NOW) == person


def test_only_the_digest_of_the_secret_is_kept() -> None:
    issued = issue_token(user=UserFactory(), name="logger", by=None, at=NOW)
    mark, prefix, secret = issued.text.split("_", 2)

    row = ApiToken.objects.values().get()
    entry = AuditEntry.objects.values("before", "after", "reason").get()
    assert (mark, prefix) == ("sb", row["prefix"])
    assert len(secret) >= 43  # 32 random bytes
    assert row["digest"] == sha256(secret.encode()).hexdigest()
    assert secret not in json.dumps([row, entry], default=str)


def test_two_tokens_differ() -> None:
    person = UserFactory()
    texts = {
        issue_token(user=person, name="x", by=None, at=NOW).text for _ in range(20)
    }

    assert len(texts) == 20


def test_what_is_no_token_is_nobody() -> None:
    text = issue_token(user=UserFactory(), name="logger", by=None, at=NOW).text
    _, prefix, secret = text.split("_", 2)

    wrong = ["", "sb", "sb_", f"sb_{prefix}", f"sb_{prefix}_", f"xx_{prefix}_{secret}"]
    wrong += [text[:-1], text + "A", f"sb_00000000_{secret}", f"sb__{secret}", secret]
    assert [verify_token(w, at=NOW) for w in wrong] == [None] * len(wrong)


def test_a_token_ends_at_the_instant_it_expires() -> None:
    ends = NOW + timedelta(hours=1)
    text = issue_token(
        user=UserFactory(), name="logger", by=None, at=NOW, expires_at=ends
    ).text

    assert verify_token(text, at=ends - timedelta(seconds=1)) is not None
    assert verify_token(text, at=ends) is None


def test_a_revoked_token_is_nobody_and_says_who_revoked_it() -> None:
    person = UserFactory()
    issued = issue_token(user=person, name="logger", by=None, at=NOW)

    revoke_token(token=issued.token, by=person, at=NOW)

    assert verify_token(issued.text, at=NOW) is None
    assert AuditEntry.objects.filter(verb="revoke_token", by=person).count() == 1
    with pytest.raises(TokenError, match="revoked already"):
        revoke_token(token=issued.token, by=person, at=NOW)


def test_the_token_of_somebody_who_left_is_nobody() -> None:
    person = UserFactory()
    text = issue_token(user=person, name="logger", by=None, at=NOW).text
    person.is_active = False
    person.save()

    assert verify_token(text, at=NOW) is None


def test_its_use_is_noted_at_most_once_a_minute() -> None:
    text = issue_token(user=UserFactory(), name="logger", by=None, at=NOW).text
    noted = []

    for seconds in (0, 1, 59, 60, 61):
        verify_token(text, at=NOW + timedelta(seconds=seconds))
        noted.append((ApiToken.objects.get().last_used_at - NOW).total_seconds())

    assert noted == [0, 0, 0, 60, 60]


def test_a_refused_token_is_not_noted_as_used() -> None:
    text = issue_token(user=UserFactory(), name="logger", by=None, at=NOW).text

    verify_token(text + "x", at=NOW)

    assert ApiToken.objects.get().last_used_at is None


@pytest.mark.parametrize("name", ["", "  "])
def test_a_token_without_a_name_is_refused(name: str) -> None:
    with pytest.raises(TokenError, match="what uses it"):
        issue_token(user=UserFactory(), name=name, by=None, at=NOW)

    assert not ApiToken.objects.exists()


def test_a_token_that_would_have_expired_is_refused() -> None:
    with pytest.raises(TokenError, match="past"):
        issue_token(user=UserFactory(), name="x", by=None, at=NOW, expires_at=NOW)

    assert not AuditEntry.objects.exists()
