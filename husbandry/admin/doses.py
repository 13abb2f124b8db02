"""What became of each due dose; a wrong entry is struck out."""

from datetime import datetime

from django.contrib import admin

from core.admin import Given, LocalTimeField, RecordForm, at_zone
from core.models import User
from husbandry.actions.doses import give_dose, note_dose_not_given
from husbandry.admin.care_records import CareDesk, StrikeOutForm
from husbandry.admin.cautions import CautionedDesk
from husbandry.admin.clocks import clock_of
from husbandry.admin.prescriptions import CLOCK
from husbandry.models import Dose, Prescription
from husbandry.queries.prescriptions import waiting_doses
from husbandry.rules.health.cautions import DOSES
from husbandry.rules.health.giving import DoseError
from husbandry.rules.vocabulary import DoseOutcome


class DoseForm(RecordForm[Dose]):
    due_shown = LocalTimeField(
        required=False,
        label="The dose due at",
        help_text=f"Empty: the newest that is due, or the next one. Otherwise: {CLOCK}",
    )
    given_at = LocalTimeField(
        required=False, label="Given at", help_text=f"Empty: now. Otherwise: {CLOCK}"
    )

    class Meta:
        model = Dose
        fields = ("prescription", "due_shown", "outcome", "given_at", "note")
        help_texts = {
            "outcome": "Given: the volume is computed from the newest weighing.",
            "note": "Why, where it was not given.",
        }


class StrikeDoseForm(StrikeOutForm[Dose]):
    """Strike out a wrong dose; one that was given and is struck out may be repeated."""

    class Meta:
        model = Dose
        fields = ()


@admin.register(Dose)
class DoseDesk(CautionedDesk[Dose], CareDesk[Dose]):
    caution = DOSES
    adding, changing = DoseForm, StrikeDoseForm
    offers = {
        "prescription": Prescription.objects.filter(
            stopped_at__isnull=True
        ).select_related("animal")
    }
    list_display = (
        *("prescription", "due_at", "at", "outcome", "volume_ml", "recorded_by"),
        "struck_at",
    )
    list_select_related = ("prescription__animal", "recorded_by")
    list_filter = ("outcome",)
    search_fields = ("prescription__animal__code", "prescription__drug")
    date_hierarchy = "due_at"
    ordering = ("-due_at", "-pk")

    def add(self, given: Given, *, by: User, at: datetime) -> Dose:
        prescription: Prescription = given["prescription"]
        zone = clock_of(prescription.animal, at)
        shown, given_at = given["due_shown"], given["given_at"]
        due_at = at_zone(shown, zone) if shown else _proposed(prescription, at)
        if DoseOutcome(given["outcome"]) is DoseOutcome.NOT_GIVEN:
            return note_dose_not_given(
                prescription=prescription,
                due_at=due_at,
                why=given["note"],
                by=by,
                recorded_at=at,
            )
        return give_dose(
            prescription=prescription,
            due_at=due_at,
            given_at=at_zone(given_at, zone) if given_at else at,
            by=by,
            recorded_at=at,
            note=given["note"],
        )


def _proposed(prescription: Prescription, at: datetime) -> datetime:
    proposed = waiting_doses(prescription=prescription, at=at).proposed
    if proposed is None:
        raise DoseError(
            f"No dose of {prescription} is waiting: say which one is meant."
        )
    return proposed
