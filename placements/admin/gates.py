"""The back office of gates: what is asked, which were opened, treatments handed over."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.db.models import QuerySet

from core.admin import Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.models import Prescription
from placements.actions.gates import hand_over_treatment, open_gate, shut_gate
from placements.actions.placement_policies import set_placement_policy
from placements.models import (
    GateOpening,
    Placement,
    PlacementPolicy,
    TreatmentHandover,
)
from placements.rules.gates.policies import Policy
from placements.rules.vocabulary import (
    Gate,
    PaperKind,
    PlacementKind,
    PlacementState,
    SexNeed,
)


def planned() -> QuerySet[Placement]:
    """Return the placements that are planned, with their animals."""
    return Placement.objects.filter(state=PlacementState.PLANNED.value).select_related(
        "animal"
    )


class OpenForm(RecordForm[GateOpening]):
    """The reason goes on record and into the packet; a new packet has to tell of it."""

    class Meta:
        model = GateOpening
        fields = ("placement", "gate", "reason")
        help_texts = {
            "reason": "Why it may leave all the same. It is printed: no names of people."
        }


class ShutForm(RecordForm[GateOpening]):
    """Shut the gate again."""

    sure = forms.BooleanField(label="Shut it again")

    class Meta:
        model = GateOpening
        fields = ()


@admin.register(GateOpening)
class GateOpeningDesk(RecordDesk[GateOpening]):
    sees = Permission.SEE_PLACEMENTS
    adds = changes = Permission.OPEN_GATES
    adding, changing = OpenForm, ShutForm
    offers = {"placement": planned()}
    list_display = ("placement", "gate", "reason", "opened_at", "shut_again_at")
    list_select_related = ("placement__animal",)
    list_filter = ("gate",)
    search_fields = ("placement__animal__code",)

    def is_open(self, row: GateOpening) -> bool:
        waits = row.placement.state == PlacementState.PLANNED
        return waits and row.shut_again_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> GateOpening:
        return open_gate(
            placement=given["placement"],
            gate=Gate(given["gate"]),
            reason=given["reason"],
            by=by,
            at=at,
        )

    def change(
        self,
        row: GateOpening,
        given: Given,
        *,
        by: User,
        at: datetime,
    ) -> GateOpening:
        return shut_gate(placement=row.placement, gate=Gate(row.gate), by=by, at=at)


class TreatmentForm(RecordForm[TreatmentHandover]):
    """A licensed vet says how a treatment that is not over goes on."""

    class Meta:
        model = TreatmentHandover
        fields = ("placement", "prescription", "plan")
        help_texts = {
            "plan": "In the licensed vet's words; nothing here computes or judges it."
        }


@admin.register(TreatmentHandover)
class TreatmentHandoverDesk(RecordDesk[TreatmentHandover]):
    sees = Permission.SEE_PLACEMENTS
    adds = Permission.PRESCRIBE
    adding = TreatmentForm
    offers = {
        "placement": planned(),
        "prescription": Prescription.objects.filter(
            stopped_at__isnull=True
        ).select_related("animal"),
    }
    list_display = ("placement", "prescription", "handed_over_at", "handed_over_by")
    list_select_related = (
        "placement__animal",
        "prescription__animal",
        "handed_over_by",
    )
    search_fields = ("placement__animal__code",)

    def add(self, given: Given, *, by: User, at: datetime) -> TreatmentHandover:
        return hand_over_treatment(
            placement=given["placement"],
            prescription=given["prescription"],
            plan=given["plan"],
            by=by,
            at=at,
        )


class PolicyForm(RecordForm[PlacementPolicy]):
    """The newest decision for the same species and kind holds, as a whole."""

    papers = forms.MultipleChoiceField(
        choices=[(kind.value, kind.value.replace("_", " ")) for kind in PaperKind],
        required=False,
        help_text="Local law decides which papers an animal and its keeper need.",
    )

    class Meta:
        model = PlacementPolicy
        fields = (
            *("species", "kind", "least_age_days", "least_mass_g", "sex"),
            *("papers", "application", "home_ready", "reason"),
        )


@admin.register(PlacementPolicy)
class PlacementPolicyDesk(RecordDesk[PlacementPolicy]):
    sees = Permission.SEE_PLACEMENTS
    adds = Permission.SET_POLICIES
    adding = PolicyForm
    list_display = ("__str__", "least_age_days", "least_mass_g", "sex", "made_at")
    list_select_related = ("species",)
    list_filter = ("kind", "species")
    search_fields = ("species__common_name", "reason")

    def add(self, given: Given, *, by: User, at: datetime) -> PlacementPolicy:
        policy = Policy(
            least_age_days=given["least_age_days"],
            least_mass_g=given["least_mass_g"],
            sex=SexNeed(given["sex"]),
            papers=tuple(PaperKind(kind) for kind in given["papers"]),
            application=given["application"],
            home_ready=given["home_ready"],
        )
        return set_placement_policy(
            species=given["species"],
            kind=PlacementKind(given["kind"]) if given["kind"] else None,
            policy=policy,
            reason=given["reason"],
            by=by,
            at=at,
        )
