"""Placements: animals on their way to their homes, and the gates they pass."""

from collections.abc import Sequence
from http import HTTPStatus

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import animal_named
from api.errors import RefusedError
from api.filters import (
    CharFilter,
    DayFilter,
    FilterSet,
    HomeNumberFilter,
    WordFilter,
)
from api.inputs import read_body, sent
from api.named import home_numbered
from api.placement_structs import (
    CallOffIn,
    DiedThereIn,
    ExtendIn,
    GatesOut,
    LastingIn,
    LeavingIn,
    OpenGateIn,
    PlacementIn,
    PlacementOut,
    PlanChangeIn,
    ShutGateIn,
    TreatmentIn,
    changes_of,
    gate_out,
    row_named,
)
from api.structs import Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import Prescription
from placements.actions.endings import mark_died_there
from placements.actions.gates import hand_over_treatment, open_gate, shut_gate
from placements.actions.handing_over import hand_over
from placements.actions.placements import (
    call_off,
    change_plan,
    extend_stay,
    plan_lasting,
    plan_placement,
)
from placements.models import Application, HomeEnclosure, Placement
from placements.queries.gates import gates_ahead, gates_of
from placements.queries.personal_data import local_day
from placements.queries.placements import placements
from placements.rules.vocabulary import PlacementKind, PlacementState


class PlacementFilter(FilterSet):
    """Which placements."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    state = WordFilter(PlacementState)
    kind = WordFilter(PlacementKind)
    home = HomeNumberFilter()
    planned_from = DayFilter(
        "planned_on", "gte", help_text="Planned for this day or later."
    )
    planned_until = DayFilter(
        "planned_on", "lte", help_text="Planned for this day or earlier."
    )

    class Meta:
        model = Placement
        fields = [
            "animal",
            "state",
            "kind",
            *("home", "planned_from", "planned_until"),
        ]


class Placements(Rows[Placement]):
    """The soonest planned first."""

    plural = "placements"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
        "gates": Permission.SEE_PLACEMENTS,
        "create": Permission.MANAGE_PLACEMENTS,
        "change_plan": Permission.MANAGE_PLACEMENTS,
        "open_gate": Permission.OPEN_GATES,
        "shut_gate": Permission.OPEN_GATES,
        "hand_over": Permission.MANAGE_PLACEMENTS,
        "call_off": Permission.MANAGE_PLACEMENTS,
        "died_there": Permission.MANAGE_PLACEMENTS,
        "extend": Permission.MANAGE_PLACEMENTS,
        "plan_lasting": Permission.MANAGE_PLACEMENTS,
        "hand_over_treatment": Permission.PRESCRIBE,
    }
    filterset_class = PlacementFilter
    takes = {
        "create": PlacementIn,
        "change_plan": PlanChangeIn,
        "open_gate": OpenGateIn,
        "shut_gate": ShutGateIn,
        "hand_over": LeavingIn,
        "call_off": CallOffIn,
        "died_there": DiedThereIn,
        "extend": ExtendIn,
        "plan_lasting": LastingIn,
        "hand_over_treatment": TreatmentIn,
    }
    gives = {
        "create": {HTTPStatus.CREATED: PlacementOut},
        "plan_lasting": {HTTPStatus.CREATED: PlacementOut},
        "change_plan": PlacementOut,
        "gates": GatesOut,
        "open_gate": GatesOut,
        "shut_gate": GatesOut,
        "hand_over": PlacementOut,
        "call_off": PlacementOut,
        "died_there": PlacementOut,
        "extend": PlacementOut,
        "hand_over_treatment": GatesOut,
    }
    out = PlacementOut
    ordering = ("planned_on", "id")
    searched = ("animal__code", "release_place")
    orderable = ("id", "planned_on", "handed_over_on", "due_back_on", "ended_on")

    def get_queryset(self) -> QuerySet[Placement]:
        """Return all placements."""
        return placements()

    def shown(self, rows: Sequence[Placement]) -> list[PlacementOut]:
        """Return placements; the home only to those who may see homes."""
        sees_homes = self.person.may(Permission.SEE_HOMES)
        return [
            PlacementOut(
                id=row.pk,
                animal=ref(row.animal),
                home=row.home_id if sees_homes else None,
                kind=PlacementKind(row.kind),
                state=PlacementState(row.state),
                planned_on=row.planned_on,
                handed_over_on=row.handed_over_on,
                due_back_on=row.due_back_on,
                ended_on=row.ended_on,
                release_place=row.release_place,
                follows=row.follows_id,
                packets=tuple(Ref(id=p.pk, code=p.number) for p in row.packets.all()),
            )
            for row in rows
        ]

    @action(detail=True)
    def gates(self, request: Request, **kwargs: str) -> Response:
        """Show how each gate stands: for the day it leaves, or for the day it left."""
        return self._gates(self.one())

    def create(self, request: Request) -> Response:
        """Plan that an animal goes to a home, or is released. 409 where it cannot."""
        given = read_body(sent(request), PlacementIn)
        row = plan_placement(
            animal=animal_named(given.animal),
            home=None if given.home is None else home_numbered(given.home),
            kind=given.kind,
            planned_on=given.planned_on,
            due_back_on=given.due_back_on,
            release_place=given.release_place,
            application=row_named(Application, given.application, "application"),
            home_enclosure=row_named(
                HomeEnclosure, given.home_enclosure, "home_enclosure"
            ),
            by=self.person,
            at=timezone.now(),
        )
        return self._shown(row, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"], url_path="change-plan")
    def change_plan(self, request: Request, **kwargs: str) -> Response:
        """Change the days, application or enclosure of a plan; what is left out stays."""
        row, given = self.one(), read_body(sent(request), PlanChangeIn)
        changes = changes_of(given)
        change_plan(placement=row, by=self.person, at=timezone.now(), **changes)
        return self._shown(row)

    @action(detail=True, methods=["post"], url_path="open-gate")
    def open_gate(self, request: Request, **kwargs: str) -> Response:
        """Open a shut gate with a reason; a new packet then has to tell of it."""
        row, given = self.one(), read_body(sent(request), OpenGateIn)
        open_gate(
            placement=row,
            gate=given.gate,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return self._gates(row)

    @action(detail=True, methods=["post"], url_path="shut-gate")
    def shut_gate(self, request: Request, **kwargs: str) -> Response:
        """Let a gate that somebody opened be judged by itself again."""
        row, given = self.one(), read_body(sent(request), ShutGateIn)
        shut_gate(placement=row, gate=given.gate, by=self.person, at=timezone.now())
        return self._gates(row)

    @action(detail=True, methods=["post"], url_path="hand-over")
    def hand_over(self, request: Request, **kwargs: str) -> Response:
        """Hand the animal over. 409 names each shut gate, and why it is shut.

        Local law decides on permits, papers and transport. A release to the wild asks
        for a permission of its own.
        """
        row, given = self.one(), read_body(sent(request), LeavingIn)
        hand_over(placement=row, on=given.on, by=self.person, at=timezone.now())
        return self._shown(row)

    @action(detail=True, methods=["post"], url_path="call-off")
    def call_off(self, request: Request, **kwargs: str) -> Response:
        """Call a plan off; the animal stays."""
        row, given = self.one(), read_body(sent(request), CallOffIn)
        call_off(placement=row, reason=given.reason, by=self.person, at=timezone.now())
        return self._shown(row)

    @action(detail=True, methods=["post"], url_path="died-there")
    def died_there(self, request: Request, **kwargs: str) -> Response:
        """Note that the animal died in its home. One that comes back is an arrival."""
        row, given = self.one(), read_body(sent(request), DiedThereIn)
        mark_died_there(
            placement=row,
            on=given.on,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return self._shown(row)

    @action(detail=True, methods=["post"])
    def extend(self, request: Request, **kwargs: str) -> Response:
        """Agree on another day of return of a loan or foster stay."""
        row, given = self.one(), read_body(sent(request), ExtendIn)
        extend_stay(
            placement=row,
            due_back_on=given.due_back_on,
            by=self.person,
            at=timezone.now(),
        )
        return self._shown(row)

    @action(detail=True, methods=["post"], url_path="plan-lasting")
    def plan_lasting(self, request: Request, **kwargs: str) -> Response:
        """Plan that a loan or foster stay becomes lasting: gates and packet of its own."""
        row, given = self.one(), read_body(sent(request), LastingIn)
        planned = plan_lasting(
            placement=row,
            kind=given.kind,
            planned_on=given.planned_on,
            by=self.person,
            at=timezone.now(),
        )
        return self._shown(planned, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"], url_path="hand-over-treatment")
    def hand_over_treatment(self, request: Request, **kwargs: str) -> Response:
        """Say, as a licensed vet, how a treatment that is not over goes on."""
        row, given = self.one(), read_body(sent(request), TreatmentIn)
        found = Prescription.objects.filter(pk=given.prescription).first()
        if found is None:
            raise RefusedError(
                "unknown_prescription",
                f"There is no prescription {given.prescription}.",
                fields={"prescription": "the number of a prescription"},
            )
        hand_over_treatment(
            placement=row,
            prescription=found,
            plan=given.plan,
            by=self.person,
            at=timezone.now(),
        )
        return self._gates(row)

    def _shown(self, row: Placement, *, status: int = HTTPStatus.OK) -> Response:
        (shown,) = self.shown([self.get_queryset().get(pk=row.pk)])
        return Response(shown, status=status)

    def _gates(self, row: Placement) -> Response:
        """Return the gates ahead of a plan; of one that left, as of that day."""
        if row.state == PlacementState.PLANNED:
            today = local_day(timezone.now())
            found = gates_ahead(placement_ids=[row.pk], today=today)
        else:
            on = row.handed_over_on or row.planned_on
            found = gates_of(placement_ids=[row.pk], on=on)
        return Response(GatesOut(tuple(gate_out(one) for one in found[row.pk])))
