"""What animals weigh; a mass that looks like a slip asks for a reason."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import Given, LocalTimeField, RecordDesk, RecordForm, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.weights import confirm_weighing, record_weighing
from husbandry.admin.animals import IN_CARE
from husbandry.models import Weighing
from husbandry.queries.stays import zone_of
from husbandry.rules.masses import ImplausibleMassError


class WeighingForm(RecordForm[Weighing]):
    weighed_at = LocalTimeField(
        required=False,
        help_text="Empty: now. Otherwise day and time by the clock of the site where "
        "it lives; by UTC while it has no enclosure. Lists here show UTC.",
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


@admin.register(Weighing)
class WeighingDesk(RecordDesk[Weighing]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.RECORD_CARE
    adding = WeighingForm
    offers = {"animal": IN_CARE}
    list_display = ("animal", "at", "mass_g", "recorded_by", "corrects_id")
    list_select_related = ("animal", "recorded_by")
    search_fields = ("animal__code", "animal__name")
    date_hierarchy = "at"
    ordering = ("-at", "-pk")

    def add(self, given: Given, *, by: User, at: datetime) -> Weighing:
        animal, mass_g, note = given["animal"], given["mass_g"], given["note"]
        shown = given["weighed_at"]
        weighed_at = at_zone(shown, zone_of(animal=animal, at=at)) if shown else at
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
