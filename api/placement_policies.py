"""Placement policies: what animals have to be and have before they leave."""

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
from api.filters import CharFilter, FilterSet, WordFilter
from api.inputs import exact, read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from placements.actions.placement_policies import set_placement_policy
from placements.models import PlacementPolicy
from placements.rules.gates.policies import MOST_AGE_DAYS, MOST_MASS_G, Policy
from placements.rules.vocabulary import PaperKind, PlacementKind, SexNeed


class PlacementPolicyFilter(FilterSet):
    """Which decisions."""

    species = CharFilter("species__code", help_text="Code of the species.")
    kind = WordFilter(PlacementKind)

    class Meta:
        model = PlacementPolicy
        fields = ["species", "kind"]


class PlacementPolicyIn(In, frozen=True, kw_only=True):
    """A decision; it replaces the one for the same species and kind as a whole."""

    species: Annotated[
        str | None,
        Meta(description="Code of the species; null: all that have none of their own."),
    ] = None
    kind: Annotated[
        PlacementKind | None,
        Meta(description="null: all kinds that have none of their own."),
    ] = None
    least_age_days: Annotated[
        Annotated[int, Meta(ge=1, le=MOST_AGE_DAYS)] | None,
        Meta(description="null: not asked."),
    ] = None
    least_mass_g: Annotated[
        Annotated[float, Meta(gt=0, le=int(MOST_MASS_G))] | None,
        Meta(description="Grams; null: not asked."),
    ] = None
    sex: SexNeed = SexNeed.NOT_NEEDED
    papers: Annotated[
        tuple[PaperKind, ...],
        Meta(description="Local law decides which papers an animal needs."),
    ] = ()
    application: bool = False
    home_ready: bool = False
    reason: Annotated[str, Meta(min_length=1, max_length=1000)]


class PlacementPolicyOut(Out, frozen=True):
    """A decision; the newest for a species and a kind holds, and is never altered."""

    about = PlacementPolicy
    id: int
    species: Ref | None
    kind: PlacementKind | None
    least_age_days: int | None
    least_mass_g: Annotated[Decimal | None, Meta(description="Grams; null: not asked.")]
    sex: SexNeed
    papers: tuple[PaperKind, ...]
    application: bool
    home_ready: bool
    reason: str
    made_by: str | None
    made_at: Instant


class PlacementPolicies(Rows[PlacementPolicy]):
    """The newest first; without any, an adoption asks for an application and a home."""

    plural = "placement policies"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
        "create": Permission.SET_POLICIES,
    }
    filterset_class = PlacementPolicyFilter
    takes = {"create": PlacementPolicyIn}
    gives = {"create": {HTTPStatus.CREATED: PlacementPolicyOut}}
    out = PlacementPolicyOut
    ordering = ("-made_at", "-id")
    searched = ("species__code", "reason")
    orderable = ("id", "made_at")

    def get_queryset(self) -> QuerySet[PlacementPolicy]:
        """Return all decisions."""
        return PlacementPolicy.objects.select_related("species", "made_by")

    def shown(self, rows: Sequence[PlacementPolicy]) -> list[PlacementPolicyOut]:
        """Return decisions as they are answered."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Decide what is asked from now on, beside what every animal has to pass.

        Of the decisions for a species and a kind, for a species, for a kind and for
        all, the first there is holds. What has left stays as it left.
        """
        given, now = read_body(sent(request), PlacementPolicyIn), timezone.now()
        mass_g = given.least_mass_g
        row = set_placement_policy(
            species=named("species", given.species),
            kind=given.kind,
            policy=Policy(
                least_age_days=given.least_age_days,
                least_mass_g=None if mass_g is None else exact(mass_g),
                sex=given.sex,
                papers=given.papers,
                application=given.application,
                home_ready=given.home_ready,
            ),
            reason=given.reason,
            by=self.person,
            at=now,
        )
        row.refresh_from_db()
        return Response(_shown(row), status=HTTPStatus.CREATED)


def _shown(row: PlacementPolicy) -> PlacementPolicyOut:
    return PlacementPolicyOut(
        id=row.pk,
        species=ref(row.species),
        kind=PlacementKind(row.kind) if row.kind else None,
        least_age_days=row.least_age_days,
        least_mass_g=row.least_mass_g,
        sex=SexNeed(row.sex),
        papers=tuple(PaperKind(kind) for kind in row.papers),
        application=row.application,
        home_ready=row.home_ready,
        reason=row.reason,
        made_by=str(row.made_by) if row.made_by else None,
        made_at=row.made_at,
    )
