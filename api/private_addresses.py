"""Private addresses of homes: which were given, and withdrawing them."""

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import FilterSet, WholeNumberFilter
from api.structs import Instant, Out
from api.views import Rows
from core.roles import Permission
from placements.actions.private_addresses import withdraw_address
from placements.models import PrivateAddress

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
        "withdraw": Permission.MANAGE_PLACEMENTS,
    }
    filterset_class = PrivateAddressFilter
    out = PrivateAddressOut

    def get_queryset(self) -> QuerySet[PrivateAddress]:
        """Return all addresses."""
        return PrivateAddress.objects.all()

    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, **kwargs: str) -> Response:
        """Make an address useless from now on; a second time: 409."""
        withdraw_address(address=self.one(), by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])
