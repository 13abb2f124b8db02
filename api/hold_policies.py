"""Hold policies: how long animals of a source may not leave; local law decides."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Small
from api.filters import FilterSet, WordFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from core.roles import Permission
from placements.actions.holds import set_hold_policy
from placements.models import HoldPolicy
from placements.rules.holds import LOCAL_LAW
from placements.rules.vocabulary import IntakeSource


class HoldPolicyFilter(FilterSet):
    """Which decisions."""

    source = WordFilter(IntakeSource)

    class Meta:
        model = HoldPolicy
        fields = ["source"]


class HoldPolicyIn(In, frozen=True, kw_only=True):
    """A decision."""

    source: IntakeSource
    days: Annotated[
        Small,
        Meta(description="After the day of arrival, which does not count; 0: none."),
    ]
    reason: Annotated[
        str,
        Meta(
            min_length=1,
            max_length=1000,
            description="Which law or decision it follows.",
        ),
    ]


class HoldPolicyOut(Out, frozen=True):
    """A decision; of each source the newest holds, for animals that come from then on."""

    about = HoldPolicy
    id: int
    source: IntakeSource
    days: int
    reason: str
    made_by: Annotated[str | None, Meta(description="null: the program itself.")]
    made_at: Instant
    caution: str


class HoldPolicies(Rows[HoldPolicy]):
    """The newest first; without any, nothing is held."""

    plural = "hold policies"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.SET_POLICIES,
    }
    filterset_class = HoldPolicyFilter
    takes = {"create": HoldPolicyIn}
    gives = {"create": {HTTPStatus.CREATED: HoldPolicyOut}}
    out = HoldPolicyOut
    ordering = ("-made_at", "-id")
    searched = ("reason",)
    orderable = ("id", "days", "made_at")

    def get_queryset(self) -> QuerySet[HoldPolicy]:
        """Return all decisions."""
        return HoldPolicy.objects.select_related("made_by")

    def shown(self, rows: Sequence[HoldPolicy]) -> list[HoldPolicyOut]:
        """Return decisions with who made them."""
        return [
            HoldPolicyOut(
                id=row.pk,
                source=IntakeSource(row.source),
                days=row.days,
                reason=row.reason,
                made_by=str(row.made_by) if row.made_by else None,
                made_at=row.made_at,
                caution=LOCAL_LAW,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Decide how long animals of a source are held from now on."""
        given = read_body(sent(request), HoldPolicyIn)
        row = set_hold_policy(
            source=given.source,
            days=given.days,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)
