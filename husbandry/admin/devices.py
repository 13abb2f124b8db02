"""Devices that post readings by themselves, and the probes they speak for."""

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest

from core.admin import Desk, Given, IssuingDesk, RecordForm, Step, until
from core.models import User
from core.roles import Permission
from husbandry.actions.devices import (
    bind_probes,
    issue_device_token,
    revoke_device,
    unbind_probes,
)
from husbandry.models import Device, DeviceProbe, Probe

PROBES_IN_USE = Probe.objects.filter(retired_on__isnull=True)


class DeviceForm(RecordForm[Device]):
    """A device that posts readings. Its token is shown once, on the next page."""

    name = forms.CharField(max_length=80, help_text="What it is: hub in the shed.")
    probes = forms.ModelMultipleChoiceField(PROBES_IN_USE)
    user = forms.ModelChoiceField(
        User.objects.filter(is_active=True),
        required=False,
        label="In whose name",
        help_text="You unless given; for others only by those who manage people.",
    )
    days = forms.IntegerField(
        min_value=1,
        max_value=3_650,
        required=False,
        help_text="How long its token can be used; empty: until it is revoked.",
    )

    class Meta:
        model = Device
        fields = ()


class BindForm(forms.Form):
    """Further probes."""

    probes = forms.ModelMultipleChoiceField(PROBES_IN_USE)


class UnbindForm(forms.Form):
    """Probes that it posts for no longer."""

    probes = forms.ModelMultipleChoiceField(Probe.objects.all())


def _bind(row: Device, given: Given, *, by: User, at: datetime) -> None:
    bind_probes(device=row, probes=given["probes"], by=by, at=at)


def _unbind(row: Device, given: Given, *, by: User, at: datetime) -> None:
    unbind_probes(device=row, probes=given["probes"], by=by, at=at)


def _revoke(row: Device, _: Given, *, by: User, at: datetime) -> None:
    revoke_device(device=row, by=by, at=at)


def _is_in_force(row: Device) -> bool:
    return row.token.revoked_at is None


BIND = Step(
    slug="bind",
    title="Add probes",
    form=BindForm,
    take=_bind,
    fits=_is_in_force,
    done="posts for them from now on.",
    caution="It posts readings of these as well.",
)
UNBIND = Step(
    slug="unbind",
    title="Take probes away",
    form=UnbindForm,
    take=_unbind,
    fits=_is_in_force,
    done="posts for them no longer.",
    caution="What it posted for them stays. Without any probe it posts nothing.",
)
REVOKE = Step(
    slug="revoke",
    title="Revoke",
    form=forms.Form,
    take=_revoke,
    fits=_is_in_force,
    done="is revoked.",
    caution="It posts nothing from now on. What it posted stays.",
)


@admin.register(Device)
class DeviceDesk(IssuingDesk[Device]):
    sees = Permission.SEE_CONDITIONS
    adds = changes = Permission.EDIT_PLACES
    adding = DeviceForm
    steps = (BIND, UNBIND, REVOKE)
    list_display = (
        *("name", "person", "posts_for"),
        *("expires_at", "last_used_at", "revoked_at"),
    )
    search_fields = ("token__name", "probes__probe__code")

    def get_queryset(self, request: HttpRequest) -> QuerySet[Device]:
        rows = super().get_queryset(request)
        return rows.select_related("token__user").prefetch_related("probes__probe")

    def told(self) -> list[str]:
        return list(self.list_display)

    def issue(self, given: Given, *, by: User, at: datetime) -> tuple[Device, str]:
        device, issued = issue_device_token(
            user=given["user"] or by,
            name=given["name"],
            probes=given["probes"],
            expires_at=until(given["days"], at=at),
            by=by,
            at=at,
        )
        return device, issued.text

    @admin.display(description="device", ordering="token__name")
    def name(self, row: Device) -> str:
        return str(row)

    @admin.display(description="in whose name")
    def person(self, row: Device) -> str:
        return str(row.token.user)

    @admin.display(description="posts for")
    def posts_for(self, row: Device) -> str:
        bound = [b.probe.code for b in row.probes.all() if b.unbound_at is None]
        return ", ".join(sorted(bound)) or "no probe"

    @admin.display(description="expires at", ordering="token__expires_at")
    def expires_at(self, row: Device) -> Any:
        return row.token.expires_at

    @admin.display(description="last used at", ordering="token__last_used_at")
    def last_used_at(self, row: Device) -> Any:
        return row.token.last_used_at

    @admin.display(description="revoked at", ordering="token__revoked_at")
    def revoked_at(self, row: Device) -> Any:
        return row.token.revoked_at


@admin.register(DeviceProbe)
class DeviceProbeDesk(Desk[DeviceProbe]):
    """For which probes devices posted, and since when; changed at their own desk."""

    sees = Permission.SEE_CONDITIONS
    list_display = ("device", "probe", "bound_at", "unbound_at")
    list_select_related = ("device__token", "probe")
    search_fields = ("device__token__name", "probe__code")
