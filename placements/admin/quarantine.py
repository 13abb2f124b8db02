"""The back office of quarantine: who is kept apart, who let it out, by which policy."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import DayField, Desk, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.admin.animals import IN_CARE
from husbandry.models import Quarantine
from husbandry.rules.vocabulary import HealthTestKind
from placements.actions.quarantine import clear, keep_apart
from placements.actions.quarantine_policies import set_quarantine_policy
from placements.models import Clearance, QuarantinePolicy
from placements.rules.quarantine.policies import QuarantineRule


class QuarantineForm(RecordForm[Quarantine]):
    """Put an animal into quarantine; newcomers are by their arrival already."""

    of_group = forms.CharField(
        required=False,
        max_length=40,
        label="Group",
        help_text="Whose newcomers restart its clock; empty: as the policy says.",
    )

    class Meta:
        model = Quarantine
        fields = ("animal", "began_on", "reason")


class ClearForm(RecordForm[Quarantine]):
    """Let it out; the page of quarantine says what is met and what is not."""

    out_on = DayField(label="Let out on", help_text="Local day where the animal is.")
    despite = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Why, although a criterion is not met or not known to be.",
    )

    class Meta:
        model = Quarantine
        fields = ()


@admin.register(Quarantine)
class QuarantineDesk(RecordDesk[Quarantine]):
    sees = Permission.SEE_ANIMALS
    adds, changes = Permission.RECORD_INTAKE, Permission.END_QUARANTINE
    adding, changing = QuarantineForm, ClearForm
    offers = {"animal": IN_CARE}
    list_display = ("animal", "began_on", "group", "reason", "ended_on", "ended_by")
    list_select_related = ("animal", "ended_by")
    list_filter = ("group",)
    search_fields = ("animal__code", "animal__name")
    ordering = ("-began_on", "animal")

    def is_open(self, row: Quarantine) -> bool:
        return row.ended_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> Quarantine:
        return keep_apart(
            animal=given["animal"],
            on=given["began_on"],
            group=given["of_group"],
            reason=given["reason"],
            by=by,
            at=at,
        )

    def change(
        self, row: Quarantine, given: Given, *, by: User, at: datetime
    ) -> Quarantine:
        clearance = clear(
            quarantine=row, on=given["out_on"], despite=given["despite"], by=by, at=at
        )
        return clearance.quarantine


@admin.register(Clearance)
class ClearanceDesk(Desk[Clearance]):
    sees = Permission.SEE_ANIMALS
    list_display = ("quarantine", "on", "despite", "cleared_by")
    list_select_related = ("quarantine__animal", "cleared_by")
    search_fields = ("quarantine__animal__code", "quarantine__animal__name")


class QuarantinePolicyForm(RecordForm[QuarantinePolicy]):
    """The newest decision of a species holds, at once and for all in quarantine."""

    class Meta:
        model = QuarantinePolicy
        fields = (
            *("species", "needed", "group", "days", "tests", "test_kind"),
            *("tests_apart_days", "weight_days", "most_loss_pct", "reason"),
        )
        help_texts = {
            "tests": "So many without findings, one after the other. Days alone are "
            "weaker than tests: agree with a licensed reptile vet.",
        }


@admin.register(QuarantinePolicy)
class QuarantinePolicyDesk(RecordDesk[QuarantinePolicy]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.SET_POLICIES
    adding = QuarantinePolicyForm
    list_display = (
        *("species", "needed", "group", "days", "tests", "test_kind"),
        *("weight_days", "made_at", "made_by"),
    )
    list_select_related = ("species", "made_by")
    list_filter = ("species",)
    ordering = ("-made_at", "-pk")

    def add(self, given: Given, *, by: User, at: datetime) -> QuarantinePolicy:
        return set_quarantine_policy(
            species=given["species"],
            rule=QuarantineRule(
                needed=given["needed"],
                group=given["group"],
                days=given["days"],
                tests=given["tests"],
                test_kind=HealthTestKind(given["test_kind"]),
                tests_apart_days=given["tests_apart_days"],
                weight_days=given["weight_days"],
                most_loss_pct=given["most_loss_pct"],
                reason=given["reason"],
            ),
            by=by,
            at=at,
        )
