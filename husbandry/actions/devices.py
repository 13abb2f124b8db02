"""Devices that post readings: their tokens, and which probes they post for."""

from collections.abc import Collection, Iterable
from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from core.roles import Permission, TokenScope, holds
from core.tokens import IssuedToken, issue_token, revoke_token
from husbandry.models import Device, DeviceProbe, Probe
from husbandry.queries.devices import bound_probes


class DeviceError(DomainError):
    """A device cannot post as asked."""

    code = "device_refused"


@transaction.atomic
def issue_device_token(
    *,
    user: User,
    name: str,
    probes: Collection[Probe],
    by: User | None,
    at: datetime,
    expires_at: datetime | None = None,
) -> tuple[Device, IssuedToken]:
    """Issue a token with which a device posts readings of its probes, and no more.

    Args:
        user: in whose name it posts; one whose role records readings.
        name: what it is, such as “hub in the shed”.
        probes: in use, at least one; another device may post for them as well.
        by: the person.
        at: now.
        expires_at: until when it can be used; None: until it is revoked.

    Returns:
        The device, and its token with the text that is shown once.

    Raises:
        DeviceError: no probe is named, one is retired, or the person may not record
            readings.
        TokenError: see `core.tokens.issue_token`.

    Source:
        ADR 0018.
    """
    if not probes:
        raise DeviceError(
            "A device posts readings of its probes and nothing else: name at least "
            "one probe.",
            fields={"probes": "at least one"},
        )
    if not holds(user.role, Permission.RECORD_READINGS):
        raise DeviceError(
            f"{user} is {user.role} and may not record readings, so nor may a device "
            "in that name. Name somebody who may.",
            fields={"person": f"one with {Permission.RECORD_READINGS}"},
        )
    _check_in_use(probes)
    issued = issue_token(
        user=user,
        name=name,
        scope=TokenScope.INGEST,
        by=by,
        at=at,
        expires_at=expires_at,
    )
    device = Device.objects.create(token=issued.token)
    _bind(device, probes, at)
    after = {"token": issued.token.pk, "probes": _codes(probes)}
    audit.record(device, verb="issue_device_token", by=by, at=at, after=after)
    return device, issued


@transaction.atomic
def bind_probes(
    *, device: Device, probes: Collection[Probe], by: User | None, at: datetime
) -> None:
    """Let a device post readings of further probes.

    Args:
        device: one whose token was not revoked.
        probes: in use; at least one, each not bound to it yet.
        by: the person.
        at: now.

    Raises:
        DeviceError: its token was revoked, or no probe is named, one is retired or
            is bound already.
    """
    device = _locked(device)
    bound = _bound(device)
    _check_named(probes, in_vain={p.pk for p in probes} & bound, why="bound already")
    _check_in_use(probes)
    _bind(device, probes, at)
    after = {"probes": _codes(probes)}
    audit.record(device, verb="bind_probes", by=by, at=at, after=after)


@transaction.atomic
def unbind_probes(
    *, device: Device, probes: Collection[Probe], by: User | None, at: datetime
) -> None:
    """Let a device post for some probes no longer; what it posted stays.

    Args:
        device: one whose token was not revoked; without any probe it posts nothing.
        probes: at least one, each bound to it.
        by: the person.
        at: now.

    Raises:
        DeviceError: its token was revoked, or no probe is named or one is not bound.
    """
    device = _locked(device)
    free = {probe.pk for probe in probes} - _bound(device)
    _check_named(probes, in_vain=free, why="not bound to it")
    now_bound = DeviceProbe.objects.filter(device=device, unbound_at__isnull=True)
    now_bound.filter(probe__in=probes).update(unbound_at=at)
    before = {"probes": _codes(probes)}
    audit.record(device, verb="unbind_probes", by=by, at=at, before=before)


@transaction.atomic
def revoke_device(*, device: Device, by: User | None, at: datetime) -> None:
    """Make a device's token useless from now on; what it posted stays.

    Args:
        device: one whose token was not revoked.
        by: the person.
        at: now.

    Raises:
        TokenError: it was revoked already.
    """
    revoke_token(token=device.token, by=by, at=at)
    audit.record(device, verb="revoke_device", by=by, at=at)


def _locked(device: Device) -> Device:
    """Return the device, so that nobody else binds or revokes meanwhile.

    Raises:
        DeviceError: its token was revoked.
    """
    rows = Device.objects.select_related("token").select_for_update()
    row = rows.get(pk=device.pk)
    if row.token.revoked_at is not None:
        raise DeviceError(
            f"The token of {row} was revoked; issue another one for the device."
        )
    return row


def _bound(device: Device) -> set[int]:
    return {probe.pk for probe in bound_probes([device.pk]).get(device.pk, ())}


def _bind(device: Device, probes: Iterable[Probe], at: datetime) -> None:
    DeviceProbe.objects.bulk_create(
        [DeviceProbe(device=device, probe=probe, bound_at=at) for probe in probes]
    )


def _check_named(probes: Collection[Probe], *, in_vain: set[int], why: str) -> None:
    if not probes:
        raise DeviceError(
            "No probe is named; name at least one.", fields={"probes": "at least one"}
        )
    if wrong := [probe.code for probe in probes if probe.pk in in_vain]:
        raise DeviceError(
            f"{', '.join(wrong)}: {why}. Nothing was changed.",
            fields={"probes": f"without {', '.join(wrong)}"},
        )


def _check_in_use(probes: Iterable[Probe]) -> None:
    if retired := [probe.code for probe in probes if probe.retired_on is not None]:
        raise DeviceError(
            f"{', '.join(retired)}: retired, and a device posts for probes in use. "
            "Name those.",
            fields={"probes": "in use"},
        )


def _codes(probes: Iterable[Probe]) -> list[str]:
    return sorted(probe.code for probe in probes)
