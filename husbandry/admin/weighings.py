"""What animals weigh; a mass that looks like a slip asks for a reason."""

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import admin

from core.admin import Given, LocalTimeField, RecordDesk, RecordForm, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.weights import (
    confirm_weighing,
    correct_weighing,
    record_weighing,
)
from husbandry.admin.animals import IN_CARE
from husbandry.admin.clocks import clock_of
from husbandry.models import Weighing
from husbandry.rules.masses import ImplausibleMassError


class WeighingForm(RecordForm[Weighing]):
    weighed_at = LocalTimeField(
        required=False,
        help_text="Empty: now. Otherwise day and time by the clock of the site where "
        "it lives; while it has no enclosure, by the clock at the foot of this page.",
    )
    right_because = forms.CharField(
        required=False,
        label="It is right, because",
        help_text="Only where the mass was refused as not plausible and a second "
        "weighing shows the same; kept as the note.",
    )

    class Meta:
        model = Weighing
        fields = ("animal", "mass_g", "weighed_at", "note", "right_because")


class CorrectWeighingForm(RecordForm[Weighing]):
    """Say what a weighing should have said; what it did say stays on record.

    The fields have names of their own, because the row is not typed over.
    """

    right_mass_g = forms.DecimalField(
        max_digits=9, decimal_places=2, label="Right mass", help_text="Grams."
    )
    right_at = LocalTimeField(
        required=False,
        label="Right time",
        help_text="Empty: as it is. Otherwise by the clock of the site where it lived.",
    )
    because = forms.CharField(
        label="Correct it, because",
        help_text="What was wrong; kept as the note. The mass is taken as weighed, "
        "however unlikely.",
    )

    class Meta:
        model = Weighing
        fields = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["right_mass_g"] = self.instance.mass_g


@admin.register(Weighing)
class WeighingDesk(RecordDesk[Weighing]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_CARE
    adding, changing = WeighingForm, CorrectWeighingForm
    offers = {"animal": IN_CARE}
    list_display = ("animal", "at", "mass_g", "recorded_by", "corrects_id")
    list_select_related = ("animal", "recorded_by")
    search_fields = ("animal__code", "animal__name")
    date_hierarchy = "at"
    ordering = ("-at", "-pk")

    def is_open(self, row: Weighing) -> bool:
        return not Weighing.objects.filter(corrects=row).exists()

    def add(self, given: Given, *, by: User, at: datetime) -> Weighing:
        animal, mass_g, note = given["animal"], given["mass_g"], given["note"]
        shown = given["weighed_at"]
        weighed_at = at_zone(shown, clock_of(animal, at)) if shown else at
        try:
            return record_weighing(
                animal=animal,
                mass_g=mass_g,
                at=weighed_at,
                note=note,
                by=by,
                recorded_at=at,
            )
        except ImplausibleMassError:
            # A reason given beforehand confirms nothing that nobody doubted.
            if not given["right_because"]:
                raise
            reason = "; ".join(filter(None, (given["right_because"], note)))
            return confirm_weighing(
                animal=animal,
                mass_g=mass_g,
                at=weighed_at,
                by=by,
                recorded_at=at,
                reason=reason,
            )

    def change(
        self, row: Weighing, given: Given, *, by: User, at: datetime
    ) -> Weighing:
        shown = given["right_at"]
        return correct_weighing(
            weighing=row,
            mass_g=given["right_mass_g"],
            at=at_zone(shown, clock_of(row.animal, row.at)) if shown else row.at,
            by=by,
            recorded_at=at,
            reason=given["because"],
        )
