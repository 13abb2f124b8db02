"""For how long homes' personal data are kept."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import FilterSet, InstantFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from core.roles import Permission
from placements.actions.personal_data import set_retention
from placements.models import PersonalDataPolicy

Months = Annotated[int, Meta(ge=0, le=600, description="Months by the calendar.")]


class PersonalDataPolicyFilter(FilterSet):
    """Which policies."""

    until_at = InstantFilter("made_at", "lt", help_text="Made before.")

    class Meta:
        model = PersonalDataPolicy
        fields = ["until_at"]


class PersonalDataPolicyIn(In, frozen=True):
    """For how long personal data are kept, from now on."""

    months_after_decline: Months
    months_after_last_placement: Months
    reason: Annotated[str, Meta(description="Which law or decision it follows.")]


class PersonalDataPolicyOut(Out, frozen=True):
    """A decision; the newest holds, and where there is none 6 and 60 months."""

    about = PersonalDataPolicy
    id: int
    months_after_decline: int
    months_after_last_placement: int
    reason: str
    made_by: str | None
    made_at: Instant


class PersonalDataPolicies(Rows[PersonalDataPolicy]):
    """The newest first."""

    plural = "personal data policies"
    permissions = {
        "list": Permission.SEE_HOMES,
        "retrieve": Permission.SEE_HOMES,
        "create": Permission.SET_POLICIES,
    }
    filterset_class = PersonalDataPolicyFilter
    takes = {"create": PersonalDataPolicyIn}
    gives = {"create": {HTTPStatus.CREATED: PersonalDataPolicyOut}}
    out = PersonalDataPolicyOut
    ordering = ("-made_at", "-id")
    searched = ("reason",)
    orderable = ("id", "made_at")

    def get_queryset(self) -> QuerySet[PersonalDataPolicy]:
        """Return all decisions."""
        return PersonalDataPolicy.objects.select_related("made_by")

    def shown(self, rows: Sequence[PersonalDataPolicy]) -> list[PersonalDataPolicyOut]:
        """Return decisions with who made them."""
        return [
            PersonalDataPolicyOut(
                id=row.pk,
                months_after_decline=row.months_after_decline,
                months_after_last_placement=row.months_after_last_placement,
                reason=row.reason,
                made_by=row.made_by.username if row.made_by else None,
                made_at=row.made_at,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Decide anew; what is past its time is erased in the next night."""
        given = read_body(sent(request), PersonalDataPolicyIn)
        row = set_retention(
            months_after_decline=given.months_after_decline,
            months_after_last_placement=given.months_after_last_placement,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)
