"""Sexing policies: whether a sex by heel spur needs a second person's look."""

from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import DayFilter, FilterSet
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from clutches.actions.sexing import set_sexing_policy
from clutches.models import SexingPolicy
from core.roles import Permission


class SexingPolicyFilter(FilterSet):
    """Which decisions."""

    from_day = DayFilter("from_on", "gte", help_text="Holding from this day on.")

    class Meta:
        model = SexingPolicy
        fields = ["from_day"]


class SexingPolicyIn(In, frozen=True, kw_only=True):
    """A decision."""

    second_look: Annotated[
        bool,
        Meta(description="A sex is confirmed only after another person's look."),
    ]
    from_on: Annotated[
        date | None, Meta(description="From which day on; today in UTC unless given.")
    ] = None
    reason: Annotated[str, Meta(min_length=1, max_length=300)]


class SexingPolicyOut(Out, frozen=True):
    """A decision; the one with the latest day that has come holds."""

    about = SexingPolicy
    id: int
    second_look: bool
    from_on: date
    reason: str
    decided_at: Instant


class SexingPolicies(Rows[SexingPolicy]):
    """The latest first; without any, a second look is asked for."""

    plural = "sexing policies"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.SET_POLICIES,
    }
    filterset_class = SexingPolicyFilter
    takes = {"create": SexingPolicyIn}
    gives = {"create": {HTTPStatus.CREATED: SexingPolicyOut}}
    out = SexingPolicyOut
    ordering = ("-from_on", "-id")
    searched = ("reason",)
    orderable = ("id", "from_on", "decided_at")

    def get_queryset(self) -> QuerySet[SexingPolicy]:
        """Return all decisions."""
        return SexingPolicy.objects.all()

    def create(self, request: Request) -> Response:
        """Decide from a day on; sexes that are settled stay settled."""
        given, now = read_body(sent(request), SexingPolicyIn), timezone.now()
        policy = set_sexing_policy(
            second_look=given.second_look,
            from_on=given.from_on or now.date(),
            reason=given.reason,
            by=self.person,
            at=now,
        )
        (shown,) = self.shown([policy])
        return Response(shown, status=HTTPStatus.CREATED)
