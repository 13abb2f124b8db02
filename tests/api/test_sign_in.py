"""Tokens for scripts, sessions for browsers."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone
from rest_framework.test import APIClient

from core.models import ApiToken, AuditEntry
from core.roles import Role
from core.tokens import issue_token, revoke_token
from tests.factories import PASSWORD, UserFactory

ME = "/api/v1/me/"


def _with(text: str) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=text)
    return client


@pytest.mark.django_db
def test_a_token_speaks_for_its_person() -> None:
    user = UserFactory(role=Role.VIEWER.value, username="juno", first_name="Juno")
    text = issue_token(user=user, name="t", by=None, at=timezone.now()).text

    answer = _with(f"Bearer {text}").get(ME)

    assert answer.json() == {
        "id": user.pk,
        "username": "juno",
        "name": "Juno",
        "role": "viewer",
        "scope": "read",
        "permissions": ["see_animals", "see_conditions", "see_findings"],
        "temperature_unit": "C",
        "mass_unit": "g",
    }


@pytest.mark.parametrize(
    "text",
    [
        "Bearer",
        "Bearer ",
        "Bearer sb_nope_nope",
        "Bearer sb__",
        "Bearer a b",
        "Bearer ünder",
        "bearer x",
    ],
)
@pytest.mark.django_db
def test_what_is_no_token_is_refused(text: str) -> None:
    answer = _with(text.encode().decode("latin-1")).get(ME)

    assert answer.status_code == 401
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["code"] == "authentication_failed"


@pytest.mark.django_db
def test_a_revoked_or_expired_token_is_refused() -> None:
    user, now = UserFactory(), timezone.now()
    revoked = issue_token(user=user, name="a", by=None, at=now)
    revoke_token(token=revoked.token, by=None, at=now)
    expired = issue_token(user=user, name="b", by=None, at=now)
    ApiToken.objects.filter(pk=expired.token.pk).update(
        expires_at=now - timedelta(seconds=1)
    )

    texts = (revoked.text, expired.text, "sb_0badc0de_x")
    answers = [_with(f"Bearer {text}").get(ME) for text in texts]

    assert [answer.status_code for answer in answers] == [401] * 3
    # Nobody learns from the answer which of them was a token once.
    assert len({answer.content for answer in answers}) == 1


@pytest.mark.django_db
def test_another_scheme_is_not_ours() -> None:
    answer = _with("Basic anVubzpqdW5v").get(ME)

    assert answer.status_code == 401
    assert answer.json()["code"] == "not_authenticated"


@pytest.mark.django_db
def test_a_session_works_and_must_prove_that_a_page_of_ours_asked() -> None:
    user = UserFactory(role=Role.KEEPER.value)
    browser = Client(enforce_csrf_checks=True)
    assert browser.login(username=user.username, password=PASSWORD)

    assert browser.get(ME).json()["username"] == user.username
    answer = browser.post("/api/v1/readings/", "{}", content_type="application/json")
    assert answer.status_code == 403
    assert answer.json()["detail"].startswith("CSRF Failed")


@pytest.mark.django_db
def test_the_command_prints_a_token_that_works_once() -> None:
    UserFactory(username="juno", role=Role.KEEPER.value)
    out = StringIO()

    call_command("issue_token", "juno", "--name", "hub", "--days", "30", stdout=out)

    text = out.getvalue().strip()
    assert _with(f"Bearer {text}").get(ME).json()["username"] == "juno"
    token = ApiToken.objects.get()
    assert token.expires_at is not None
    assert text not in str(AuditEntry.objects.values_list("after", flat=True).get())


@pytest.mark.django_db
def test_the_command_says_what_is_wrong() -> None:
    with pytest.raises(CommandError, match="Nobody is called 'nobody'"):
        call_command("issue_token", "nobody", "--name", "hub")
    UserFactory(username="juno")
    with pytest.raises(CommandError, match="needs a name"):
        call_command("issue_token", "juno", "--name", " ")
