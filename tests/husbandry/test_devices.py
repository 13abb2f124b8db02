"""Devices post for the probes that are bound to them, for no other and for no longer."""

from datetime import timedelta

import pytest

from core.models import ApiToken, AuditEntry
from core.roles import TokenScope
from core.tokens import TokenError, issue_token, verify_token
from husbandry.actions.devices import (
    DeviceError,
    bind_probes,
    issue_device_token,
    revoke_device,
    unbind_probes,
)
from husbandry.models import Device, DeviceProbe
from husbandry.queries.devices import bound_probes, probe_ids_of
from tests.factories import (
    NOW,
    TODAY,
    DeviceFactory,
    DeviceProbeFactory,
    ProbeFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


def test_a_device_posts_for_its_probes() -> None:
    manager, probes = UserFactory(role="manager"), [ProbeFactory(), ProbeFactory()]
    ProbeFactory()

    device, issued = issue_device_token(
        user=manager, name="hub", probes=probes, by=manager, at=NOW
    )

    person = verify_token(issued.text, at=NOW)
    assert person is not None
    assert probe_ids_of(person) == {probe.pk for probe in probes}
    assert bound_probes([device.pk]) == {device.pk: tuple(probes)}
    assert (issued.token.scope, issued.token.user) == ("ingest", manager)
    entry = AuditEntry.objects.get(verb="issue_device_token")
    assert entry.after == {
        "token": issued.token.pk,
        "probes": [probe.code for probe in probes],
    }
    assert issued.text.rpartition("_")[2] not in str(
        list(AuditEntry.objects.values_list("after", "before", "reason"))
    )


@pytest.mark.parametrize("scope", ["read", "record", "manage"])
def test_other_tokens_and_browsers_post_for_all(scope: str) -> None:
    DeviceProbeFactory()
    user = UserFactory()
    text = issue_token(
        user=user, name="x", scope=TokenScope(scope), by=None, at=NOW
    ).text

    person = verify_token(text, at=NOW)
    assert person is not None
    assert probe_ids_of(person) is None
    assert probe_ids_of(user) is None


def test_an_ingest_token_that_is_no_device_posts_for_none() -> None:
    DeviceProbeFactory()
    text = issue_token(
        user=UserFactory(), name="x", scope=TokenScope.INGEST, by=None, at=NOW
    ).text

    person = verify_token(text, at=NOW)
    assert person is not None
    assert probe_ids_of(person) == frozenset()


def test_nothing_is_issued_that_could_post_nothing() -> None:
    viewer, keeper = UserFactory(role="viewer"), UserFactory()
    probe, retired = ProbeFactory(), ProbeFactory(code="P-old", retired_on=TODAY)

    with pytest.raises(DeviceError, match="at least one probe"):
        issue_device_token(user=keeper, name="hub", probes=[], by=None, at=NOW)
    with pytest.raises(DeviceError, match="is viewer and may not record readings"):
        issue_device_token(user=viewer, name="hub", probes=[probe], by=None, at=NOW)
    with pytest.raises(DeviceError, match="P-old: retired"):
        issue_device_token(
            user=keeper, name="hub", probes=[probe, retired], by=None, at=NOW
        )
    with pytest.raises(TokenError, match="what uses it"):
        issue_device_token(user=keeper, name=" ", probes=[probe], by=None, at=NOW)

    assert not ApiToken.objects.exists()
    assert not Device.objects.exists()


def test_probes_come_and_go() -> None:
    first, second, third = ProbeFactory(), ProbeFactory(), ProbeFactory()
    device = DeviceProbeFactory(probe=first).device
    by = UserFactory()

    bind_probes(device=device, probes=[second, third], by=by, at=NOW)
    unbind_probes(device=device, probes=[first, second], by=by, at=LATER)
    bind_probes(device=device, probes=[second], by=by, at=LATER)

    assert bound_probes([device.pk]) == {device.pk: (second, third)}
    rows = DeviceProbe.objects.order_by("pk").values_list("probe", "unbound_at")
    assert list(rows) == [
        (first.pk, LATER),
        (second.pk, LATER),
        (third.pk, None),
        (second.pk, None),
    ]
    verbs = AuditEntry.objects.filter(by=by).order_by("pk").values_list("verb")
    assert [verb for (verb,) in verbs] == [
        "bind_probes",
        "unbind_probes",
        "bind_probes",
    ]


def test_what_cannot_be_bound_or_unbound_is_named_and_nothing_changes() -> None:
    bound, free = ProbeFactory(code="P-1"), ProbeFactory(code="P-2")
    retired = ProbeFactory(code="P-3", retired_on=TODAY)
    device = DeviceProbeFactory(probe=bound).device

    with pytest.raises(DeviceError, match="P-1: bound already"):
        bind_probes(device=device, probes=[free, bound], by=None, at=NOW)
    with pytest.raises(DeviceError, match="P-3: retired"):
        bind_probes(device=device, probes=[free, retired], by=None, at=NOW)
    with pytest.raises(DeviceError, match="P-2: not bound to it"):
        unbind_probes(device=device, probes=[free, bound], by=None, at=NOW)
    for verb in (bind_probes, unbind_probes):
        with pytest.raises(DeviceError, match="at least one"):
            verb(device=device, probes=[], by=None, at=NOW)

    assert bound_probes([device.pk]) == {device.pk: (bound,)}
    assert not AuditEntry.objects.exists()


def test_a_revoked_device_posts_nothing_and_stays_as_it_was() -> None:
    keeper, probe = UserFactory(), ProbeFactory()
    device, issued = issue_device_token(
        user=keeper, name="hub", probes=[probe], by=None, at=NOW
    )

    revoke_device(device=device, by=keeper, at=LATER)

    assert verify_token(issued.text, at=LATER) is None
    with pytest.raises(TokenError, match="revoked already"):
        revoke_device(device=device, by=keeper, at=LATER)
    with pytest.raises(DeviceError, match="was revoked"):
        bind_probes(device=device, probes=[ProbeFactory()], by=None, at=LATER)
    assert AuditEntry.objects.filter(verb="revoke_device", by=keeper).count() == 1


def test_two_devices_may_post_for_one_probe() -> None:
    probe = ProbeFactory()
    old = DeviceProbeFactory(probe=probe).device
    new = DeviceFactory()

    bind_probes(device=new, probes=[probe], by=None, at=NOW)

    assert bound_probes([old.pk, new.pk]) == {old.pk: (probe,), new.pk: (probe,)}
