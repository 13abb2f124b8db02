"""Devices that post readings with a token of their own, of their own probes."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import BooleanFilter, CharFilter, FilterSet
from api.inputs import read_body, sent
from api.structs import In, Instant, Out, Ref
from api.tokens import NO_STORE, PERSON, TEXT, TokenOut, named_person, token_out
from api.views import Rows
from core.roles import Permission
from husbandry.actions.devices import (
    bind_probes,
    issue_device_token,
    revoke_device,
    unbind_probes,
)
from husbandry.models import Device, Probe
from husbandry.queries.devices import bound_probes

MOST_PROBES = 500
CODES = Annotated[
    list[str],
    Meta(min_length=1, max_length=MOST_PROBES, description="Codes on their labels."),
]


class DeviceFilter(FilterSet):
    """Which devices."""

    name = CharFilter("token__name", help_text="What it is called.")
    person = CharFilter(
        "token__user__username", help_text="In whose name, by the name to sign in."
    )
    in_force = BooleanFilter(
        "token__revoked_at",
        "isnull",
        help_text="true: its token was not revoked; it may have expired.",
    )

    class Meta:
        model = Device
        fields = ["name", "person", "in_force"]


class DeviceIn(In, frozen=True, kw_only=True):
    """A device that is to post readings."""

    name: Annotated[str, Meta(description="What it is; up to 80 characters.")]
    probes: CODES
    expires_at: Annotated[
        Instant | None, Meta(description="Until when; null: until it is revoked.")
    ] = None
    person: PERSON = None


class DeviceProbesIn(In, frozen=True):
    """Which probes are added or taken away."""

    probes: CODES


class DeviceOut(Out, frozen=True):
    """A device, and the probes that it posts for now."""

    about = Device
    id: int
    token: TokenOut
    probes: tuple[Ref, ...]


class IssuedDeviceOut(Out, frozen=True):
    """A new device, with the text of its token."""

    device: DeviceOut
    text: Annotated[str, Meta(description=TEXT)]


class Devices(Rows[Device]):
    """The first registered first."""

    plural = "devices"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "create": Permission.EDIT_PLACES,
        "bind": Permission.EDIT_PLACES,
        "unbind": Permission.EDIT_PLACES,
        "revoke": Permission.EDIT_PLACES,
    }
    filterset_class = DeviceFilter
    takes = {
        "create": DeviceIn,
        "bind": DeviceProbesIn,
        "unbind": DeviceProbesIn,
    }
    gives = {"create": {HTTPStatus.CREATED: IssuedDeviceOut}}
    secret_answers = frozenset({"create"})
    out = DeviceOut
    searched = ("token__name", "token__user__username")
    orderable = ("id",)

    def get_queryset(self) -> QuerySet[Device]:
        """Return all devices."""
        return Device.objects.select_related("token__user")

    def shown(self, rows: Sequence[Device]) -> list[DeviceOut]:
        """Return devices with their probes; one query."""
        probes = bound_probes([row.pk for row in rows])
        return [
            DeviceOut(
                id=row.pk,
                token=token_out(row.token),
                probes=tuple(
                    Ref(id=probe.pk, code=probe.code)
                    for probe in probes.get(row.pk, ())
                ),
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Issue a device's token; it posts readings of its probes and nothing else.

        Its text is answered this once.
        """
        given = read_body(sent(request), DeviceIn)
        device, issued = issue_device_token(
            user=named_person(given.person, by=self.person),
            name=given.name,
            probes=_named(given.probes),
            expires_at=given.expires_at,
            by=self.person,
            at=timezone.now(),
        )
        answer = IssuedDeviceOut(device=self.shown([device])[0], text=issued.text)
        return Response(answer, status=HTTPStatus.CREATED, headers=dict(NO_STORE))

    @action(detail=True, methods=["post"])
    def bind(self, request: Request, **kwargs: str) -> Response:
        """Let a device post for further probes; all of them or none."""
        device = self.one()
        given = read_body(sent(request), DeviceProbesIn)
        probes = _named(given.probes)
        bind_probes(device=device, probes=probes, by=self.person, at=timezone.now())
        return Response(self.shown([device])[0])

    @action(detail=True, methods=["post"])
    def unbind(self, request: Request, **kwargs: str) -> Response:
        """Let a device post for some probes no longer; all of them or none.

        What it posted stays. Without any probe it posts nothing.
        """
        device = self.one()
        given = read_body(sent(request), DeviceProbesIn)
        probes = _named(given.probes)
        unbind_probes(device=device, probes=probes, by=self.person, at=timezone.now())
        return Response(self.shown([device])[0])

    @action(detail=True, methods=["post"])
    def revoke(self, request: Request, **kwargs: str) -> Response:
        """Make a device's token useless from now on; a second time: 409."""
        revoke_device(device=self.one(), by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])


def _named(codes: Sequence[str]) -> list[Probe]:
    """Return the probes of some codes, each once.

    Raises:
        RefusedError: one is not there; nothing is changed.
    """
    found = list(Probe.objects.filter(code__in=codes))
    if missing := sorted(set(codes) - {probe.code for probe in found}):
        raise RefusedError(
            "unknown_probe",
            f"There is no probe {', '.join(missing)}; give the codes on the labels.",
            fields={"probes": "codes of probes"},
        )
    return found
