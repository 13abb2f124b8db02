"""The command that issues a token from a shell: what it takes and what it refuses."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from core.models import ApiToken
from core.tokens import verify_token
from husbandry.models import Device
from husbandry.queries.devices import probe_ids_of
from tests.factories import ProbeFactory, UserFactory

pytestmark = pytest.mark.django_db


def _issue(*words: str) -> str:
    out = StringIO()
    call_command("issue_token", "juno", "--name", "hub", *words, stdout=out)
    return out.getvalue().strip()


@pytest.mark.parametrize("scope", ["read", "record", "manage"])
def test_a_scope_is_given(scope: str) -> None:
    UserFactory(username="juno")

    person = verify_token(_issue("--scope", scope), at=timezone.now())

    assert person is not None
    assert person.token is not None
    assert (person.token.scope, person.token.expires_at) == (scope, None)


def test_it_reads_unless_it_is_said_otherwise() -> None:
    UserFactory(username="juno")

    _issue()

    assert ApiToken.objects.get().scope == "read"


@pytest.mark.parametrize("scope", [(), ("--scope", "ingest")])
def test_probes_make_it_a_devices(scope: tuple[str, ...]) -> None:
    UserFactory(username="juno")
    probes = [ProbeFactory(code="P-1"), ProbeFactory(code="P-2")]

    text = _issue(*scope, "--probe", "P-1", "--probe", "P-2", "--days", "1")

    person = verify_token(text, at=timezone.now())
    assert person is not None
    assert probe_ids_of(person) == {probe.pk for probe in probes}
    expires_at = Device.objects.get().token.expires_at
    assert expires_at is not None


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--scope", "all"), "invalid choice: 'all'"),
        (("--scope", "ingest"), "name them with --probe CODE"),
        (("--scope", "record", "--probe", "P-1"), "--probe is for a device's token"),
        (("--probe", "P-1", "--probe", "P-9"), "There is no probe P-9"),
        (("--days", "0"), "--days 0: give 1 to 3,650"),
        (("--days", "-1"), "--days -1: give 1 to 3,650"),
        (("--days", "3651"), "--days 3651: give 1 to 3,650"),
        (("--days", "soon"), "invalid int value"),
    ],
)
def test_nonsense_is_refused_and_nothing_is_kept(
    words: tuple[str, ...], told: str
) -> None:
    UserFactory(username="juno")
    ProbeFactory(code="P-1")

    with pytest.raises(CommandError, match=told):
        _issue(*words)

    assert not ApiToken.objects.exists()


def test_a_role_that_records_nothing_has_no_device() -> None:
    UserFactory(username="juno", role="viewer")
    ProbeFactory(code="P-1")

    with pytest.raises(CommandError, match="may not record readings"):
        _issue("--probe", "P-1")


def test_somebody_who_left_gets_no_token() -> None:
    UserFactory(username="juno", is_active=False)

    with pytest.raises(CommandError, match="Nobody is called 'juno'"):
        _issue()
