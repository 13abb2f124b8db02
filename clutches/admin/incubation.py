"""Incubation plans, made whole and retired; what a forecast said is looked at."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError

from clutches.actions.plans import make_plan, retire_plan
from clutches.models import Forecast, IncubationPhase, IncubationPlan
from clutches.rules.facts import Phase
from clutches.rules.incubation.lines import EXAMPLE, SHAPE, read_phases
from clutches.rules.incubation.plans import IncubationPlanError
from core.admin import DayField, Desk, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission


class PhasesField(forms.CharField):
    """Phases in their order, one a line."""

    widget = forms.Textarea(attrs={"rows": 5})

    def clean(self, value: str) -> tuple[Phase, ...]:
        """Return the phases.

        Raises:
            ValidationError: nothing is typed, or a line is no phase.
        """
        try:
            return read_phases(super().clean(value))
        except IncubationPlanError as error:
            raise ValidationError(str(error)) from error


class PlanForm(RecordForm[IncubationPlan]):
    """A plan is never altered: who wants it otherwise makes another one."""

    phases_typed = PhasesField(
        label="Phases",
        help_text=f"One a line, with semicolons between: {SHAPE}. Such as {EXAMPLE}. "
        "Only the last one goes on until they hatch.",
        strip=False,
    )

    class Meta:
        model = IncubationPlan
        fields = ("code", "name", "species", "note")
        help_texts = {"note": "Who says so, and why."}


class RetireForm(RecordForm[IncubationPlan]):
    """Offer a plan no longer."""

    retire_on = DayField(
        label="Not offered from",
        help_text="Today or earlier. Clutches that are kept by it stay so.",
    )

    class Meta:
        model = IncubationPlan
        fields = ()


@admin.register(IncubationPlan)
class IncubationPlanDesk(RecordDesk[IncubationPlan]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.SET_POLICIES
    adding, changing = PlanForm, RetireForm
    list_display = ("code", "name", "species", "retired_on")
    list_select_related = ("species",)
    list_filter = ("species",)
    search_fields = ("code", "name", "note")

    def is_open(self, row: IncubationPlan) -> bool:
        return row.retired_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> IncubationPlan:
        return make_plan(
            code=given["code"],
            name=given["name"],
            species=given["species"],
            phases=given["phases_typed"],
            note=given["note"],
            by=by,
            at=at,
        )

    def change(
        self, row: IncubationPlan, given: Given, *, by: User, at: datetime
    ) -> IncubationPlan:
        return retire_plan(plan=row, on=given["retire_on"], by=by, at=at)


@admin.register(IncubationPhase)
class IncubationPhaseDesk(Desk[IncubationPhase]):
    sees = Permission.SEE_ANIMALS
    list_display = (
        *("plan", "position", "kind", "days", "day_low_c", "day_high_c"),
        *("night_low_c", "night_high_c"),
    )
    list_select_related = ("plan",)
    list_filter = ("plan", "kind")
    search_fields = ("plan__code", "plan__name")


@admin.register(Forecast)
class ForecastDesk(Desk[Forecast]):
    sees = Permission.SEE_ANIMALS
    list_display = (
        *("clutch", "box", "on", "basis", "earliest_on", "likely_on", "latest_on"),
        "coverage",
    )
    list_select_related = ("clutch", "box")
    list_filter = ("basis",)
    search_fields = ("clutch__code", "box__code")
    ordering = ("-on", "clutch", "box")
