"""Incubation plans: phases by which eggs are kept; made whole, never altered."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Small
from api.filters import BooleanFilter, CharFilter, FilterSet
from api.inputs import exact, read_body, sent
from api.named import species_named
from api.structs import In, Out, Ref, ref
from api.views import Rows
from clutches.actions.plans import make_plan, retire_plan
from clutches.models import IncubationPhase, IncubationPlan
from clutches.queries.plans import phases_of, plans
from clutches.rules.facts import Phase
from clutches.rules.vocabulary import PhaseKind
from core.roles import Permission

MOST_SENT = 50
CELSIUS = Annotated[float, Meta(description="°C, at most one decimal.")]
NIGHT = Annotated[float | None, Meta(description="°C; as by day unless given.")]


class IncubationPlanFilter(FilterSet):
    """Which plans."""

    code = CharFilter("code", help_text="Code of the plan.")
    species = CharFilter("species__code", help_text="Code of the species.")
    offered = BooleanFilter("retired_on", "isnull", help_text="true: not retired.")

    class Meta:
        model = IncubationPlan
        fields = ["code", "species", "offered"]


class PhaseIn(In, frozen=True, kw_only=True):
    """One part of an incubation, with its bands."""

    kind: PhaseKind
    days: Annotated[
        Small | None,
        Meta(description="How long; null in the last phase only: until they hatch."),
    ] = None
    day_low_c: CELSIUS
    day_high_c: CELSIUS
    night_low_c: NIGHT = None
    night_high_c: NIGHT = None


class IncubationPlanIn(In, frozen=True, kw_only=True):
    """How the eggs of a species are kept, phase after phase."""

    code: Annotated[
        str, Meta(max_length=40, description="Letters, digits, dots, hyphens, _.")
    ]
    name: Annotated[str, Meta(max_length=80)]
    species: Annotated[str, Meta(description="Code of the species.")]
    phases: Annotated[
        list[PhaseIn],
        Meta(max_length=MOST_SENT, description="In their order, 1 to 12."),
    ]
    note: Annotated[str, Meta(max_length=300, description="Who says so, and why.")] = ""


class RetirementIn(In, frozen=True):
    """That a plan is not offered any more."""

    on: Annotated[
        date | None, Meta(description="First day without it; today unless given.")
    ] = None


class PhaseOut(Out, frozen=True):
    """One part of an incubation."""

    about = IncubationPhase
    kind: PhaseKind
    days: int | None
    day_low_c: Decimal
    day_high_c: Decimal
    night_low_c: Decimal
    night_high_c: Decimal


class IncubationPlanOut(Out, frozen=True):
    """One plan with its phases."""

    about = IncubationPlan
    id: int
    code: str
    name: str
    species: Ref | None
    phases: Annotated[tuple[PhaseOut, ...], Meta(description="In their order.")]
    note: str
    retired_on: date | None


class IncubationPlans(Rows[IncubationPlan]):
    """By code, retired ones too."""

    plural = "incubation plans"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.SET_POLICIES,
        "retire": Permission.SET_POLICIES,
    }
    filterset_class = IncubationPlanFilter
    takes = {"create": IncubationPlanIn, "retire": RetirementIn}
    gives = {"create": {HTTPStatus.CREATED: IncubationPlanOut}}
    optional_bodies = frozenset({"retire"})
    out = IncubationPlanOut
    ordering = ("code", "id")
    searched = ("code", "name", "species__code", "note")
    orderable = ("id", "code", "name", "retired_on")

    def get_queryset(self) -> QuerySet[IncubationPlan]:
        """Return all plans."""
        return plans()

    def shown(self, rows: Sequence[IncubationPlan]) -> list[IncubationPlanOut]:
        """Return plans with their phases."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Make a plan with all its phases.

        It is never altered, for clutches were kept by it: who wants it otherwise makes
        another one. Bands lie within the care profile's hard limits; every phase but
        the last has days, and the last goes on until they hatch. Else: 409.
        """
        given = read_body(sent(request), IncubationPlanIn)
        row = make_plan(
            code=given.code,
            name=given.name,
            species=species_named(given.species),
            phases=[_phase(phase) for phase in given.phases],
            note=given.note,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def retire(self, request: Request, **kwargs: str) -> Response:
        """Offer a plan no longer; clutches that are kept by it stay so."""
        row, now = self.one(), timezone.now()
        sent_on = read_body(sent(request), RetirementIn).on if request.data else None
        retire_plan(plan=row, on=sent_on or now.date(), by=self.person, at=now)
        return Response(self.shown([self.one()])[0])


def _phase(given: PhaseIn) -> Phase:
    low, high = given.night_low_c, given.night_high_c
    return Phase(
        kind=given.kind,
        days=given.days,
        day_low_c=exact(given.day_low_c),
        day_high_c=exact(given.day_high_c),
        night_low_c=exact(given.day_low_c if low is None else low),
        night_high_c=exact(given.day_high_c if high is None else high),
    )


def _shown(row: IncubationPlan) -> IncubationPlanOut:
    return IncubationPlanOut(
        id=row.pk,
        code=row.code,
        name=row.name,
        species=ref(row.species),
        phases=tuple(
            PhaseOut(
                kind=phase.kind,
                days=phase.days,
                day_low_c=phase.day_low_c,
                day_high_c=phase.day_high_c,
                night_low_c=phase.night_low_c,
                night_high_c=phase.night_high_c,
            )
            for phase in phases_of(row.phases.all())
        ),
        note=row.note,
        retired_on=row.retired_on,
    )
