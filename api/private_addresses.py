"""Private addresses of homes: given, answered once, withdrawn."""

from http import HTTPStatus
from typing import Annotated, TypeVar

from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Id
from api.errors import RefusedError
from api.filters import FilterSet, WholeNumberFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from core.roles import Permission
from placements.actions.private_addresses import give_address, withdraw_address
from placements.models import Application, Placement, PrivateAddress

M = TypeVar("M", bound=Model)
LARGEST_ID = 2**63 - 1


class PrivateAddressFilter(FilterSet):
    """Which addresses."""

    application = WholeNumberFilter(
        "application_id", least=0, most=LARGEST_ID, help_text="Number of it."
    )
    placement = WholeNumberFilter(
        "placement_id", least=0, most=LARGEST_ID, help_text="Number of it."
    )

    class Meta:
        model = PrivateAddress
        fields = ["application", "placement"]


class PrivateAddressIn(In, frozen=True, kw_only=True):
    """Whose page it opens: of one application or of one placement."""

    application: Annotated[
        Id | None, Meta(description="Number of an application, or")
    ] = None
    placement: Annotated[Id | None, Meta(description="of a placement.")] = None


class NewAddressOut(Out, frozen=True):
    """A private address, answered once."""

    id: int
    address: str
    expires_at: Instant


class PrivateAddressOut(Out, frozen=True):
    """An address that was given; its secret part is kept nowhere."""

    about = PrivateAddress
    id: int
    application_id: int | None
    placement_id: int | None
    prefix: str
    created_at: Instant
    expires_at: Instant
    revoked_at: Instant | None
    last_used_at: Instant | None


class PrivateAddresses(Rows[PrivateAddress]):
    """The first given first."""

    plural = "private addresses"
    permissions = {
        "list": Permission.SEE_HOMES,
        "retrieve": Permission.SEE_HOMES,
        "create": Permission.MANAGE_PLACEMENTS,
        "withdraw": Permission.MANAGE_PLACEMENTS,
    }
    filterset_class = PrivateAddressFilter
    takes = {"create": PrivateAddressIn}
    secret_answers = frozenset({"create"})
    gives = {"create": {HTTPStatus.CREATED: NewAddressOut}}
    out = PrivateAddressOut
    orderable = ("id", "created_at", "expires_at", "last_used_at")

    def get_queryset(self) -> QuerySet[PrivateAddress]:
        """Return all addresses."""
        return PrivateAddress.objects.all()

    def create(self, request: Request) -> Response:
        """Give a home an address of its page; those before it open nothing any more.

        It is answered this once and kept nowhere.
        """
        given = read_body(sent(request), PrivateAddressIn)
        row, text = give_address(
            application=_named(Application.objects.all(), given.application),
            placement=_named(Placement.objects.all(), given.placement),
            by=self.person,
            at=timezone.now(),
        )
        path = reverse("staff:private_home", args=[text])
        answer = NewAddressOut(
            id=row.pk,
            address=request.build_absolute_uri(path),
            expires_at=row.expires_at,
        )
        headers = {"Cache-Control": "no-store"}
        return Response(answer, status=HTTPStatus.CREATED, headers=headers)

    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, **kwargs: str) -> Response:
        """Make an address useless from now on; a second time: 409."""
        withdraw_address(address=self.one(), by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])


def _named(rows: QuerySet[M], number: int | None) -> M | None:
    if number is None:
        return None
    found = rows.filter(pk=number).first()
    if found is None:
        word = rows.model._meta.verbose_name  # noqa: SLF001 - public Meta API
        raise RefusedError(
            f"unknown_{word}",
            f"There is no {word} {number}.",
            fields={f"{word}": f"the number of a {word}"},
        )
    return found
