"""Quarantine policies: what has to be so before animals of a species are let out."""

from collections.abc import Sequence
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.clutch_structs import named
from api.filters import CharFilter, FilterSet
from api.inputs import exact, read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.rules.vocabulary import HealthTestKind
from placements.actions.quarantine_policies import set_quarantine_policy
from placements.models import QuarantinePolicy
from placements.rules.quarantine.policies import (
    LONGEST_DAYS,
    MOST_TESTS,
    QuarantineRule,
)

DAYS = Annotated[int, Meta(ge=0, le=LONGEST_DAYS)]


class QuarantinePolicyFilter(FilterSet):
    """Which decisions."""

    species = CharFilter("species__code", help_text="Code of the species.")

    class Meta:
        model = QuarantinePolicy
        fields = ["species"]


class QuarantinePolicyIn(In, frozen=True, kw_only=True):
    """A decision; it replaces the one before it as a whole and holds at once."""

    species: Annotated[
        str | None,
        Meta(description="Code of the species; null: all that have none of their own."),
    ] = None
    needed: Annotated[
        bool, Meta(description="false: newcomers are not put into quarantine.")
    ] = True
    group: Annotated[
        str,
        Meta(
            min_length=1,
            max_length=40,
            description="A newcomer of the same group in its room restarts the clock.",
        ),
    ] = "reptiles"
    days: DAYS
    tests: Annotated[int, Meta(ge=0, le=MOST_TESTS)] = 0
    test_kind: HealthTestKind = HealthTestKind.FAECAL
    tests_apart_days: DAYS = 0
    weight_days: DAYS = 0
    most_loss_pct: Annotated[float, Meta(ge=0, lt=100)] = 0
    reason: Annotated[str, Meta(min_length=1, max_length=1000)]


class QuarantinePolicyOut(Out, frozen=True):
    """A decision; the newest of a species holds, and is never altered."""

    about = QuarantinePolicy
    id: int
    species: Ref | None
    needed: bool
    group: str
    days: int
    tests: int
    test_kind: HealthTestKind
    tests_apart_days: int
    weight_days: int
    most_loss_pct: Decimal
    reason: str
    made_by: str | None
    made_at: Instant


class QuarantinePolicies(Rows[QuarantinePolicy]):
    """The newest first; without any, thirty days by published guidance hold."""

    plural = "quarantine policies"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.SET_POLICIES,
    }
    filterset_class = QuarantinePolicyFilter
    takes = {"create": QuarantinePolicyIn}
    gives = {"create": {HTTPStatus.CREATED: QuarantinePolicyOut}}
    out = QuarantinePolicyOut
    ordering = ("-made_at", "-id")
    searched = ("species__code", "group", "reason")
    orderable = ("id", "made_at")

    def get_queryset(self) -> QuerySet[QuarantinePolicy]:
        """Return all decisions."""
        return QuarantinePolicy.objects.select_related("species", "made_by")

    def shown(self, rows: Sequence[QuarantinePolicy]) -> list[QuarantinePolicyOut]:
        """Return decisions as they are answered."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Decide for a species, or for all that have no policy of their own.

        It holds at once, also for animals that are in quarantine already. Days alone
        are weaker than tests: agree with a licensed reptile vet on what to ask for.
        """
        given, now = read_body(sent(request), QuarantinePolicyIn), timezone.now()
        row = set_quarantine_policy(
            species=named("species", given.species),
            rule=QuarantineRule(
                needed=given.needed,
                group=given.group,
                days=given.days,
                tests=given.tests,
                test_kind=given.test_kind,
                tests_apart_days=given.tests_apart_days,
                weight_days=given.weight_days,
                most_loss_pct=exact(given.most_loss_pct),
                reason=given.reason,
            ),
            by=self.person,
            at=now,
        )
        return Response(_shown(row), status=HTTPStatus.CREATED)


def _shown(row: QuarantinePolicy) -> QuarantinePolicyOut:
    return QuarantinePolicyOut(
        id=row.pk,
        species=ref(row.species),
        needed=row.needed,
        group=row.group,
        days=row.days,
        tests=row.tests,
        test_kind=HealthTestKind(row.test_kind),
        tests_apart_days=row.tests_apart_days,
        weight_days=row.weight_days,
        most_loss_pct=row.most_loss_pct,
        reason=row.reason,
        made_by=str(row.made_by) if row.made_by else None,
        made_at=row.made_at,
    )
