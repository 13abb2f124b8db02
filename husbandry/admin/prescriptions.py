"""What licensed vets prescribed; doses are given from here."""

from dataclasses import replace
from datetime import datetime

from django import forms
from django.contrib import admin
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from core.admin import Given, LocalTimeField, RecordForm, Step, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.doses import give_dose, note_dose_not_given
from husbandry.actions.prescriptions import prescribe, stop_prescription
from husbandry.admin.animals import IN_CARE
from husbandry.admin.cautions import CautionedSteps
from husbandry.admin.clocks import clock_of
from husbandry.models import Dose, Prescription
from husbandry.queries.prescriptions import WaitingDoses, waiting_doses
from husbandry.rules.health.cautions import DOSES
from husbandry.rules.vocabulary import DoseUnit, Route

SHOWN_DOSES = 60
CLOCK = (
    "By the clock of the site where it lives; while it has no enclosure, by the clock "
    "at the foot of this page."
)


class PrescriptionForm(RecordForm[Prescription]):
    first_dose_at = LocalTimeField(label="First dose at", help_text=CLOCK)

    class Meta:
        model = Prescription
        fields = (
            *("animal", "drug", "dose_per_kg", "dose_unit"),
            *("concentration_mg_per_ml", "route", "every_hours", "first_dose_at"),
            *("until_on", "smallest_step_ml", "vet", "prescribed_on", "reason"),
        )


class GiveForm(forms.Form):
    """Record a dose as given; the volume is computed, not typed."""

    due_at = forms.TypedChoiceField(
        label="The dose due at", coerce=datetime.fromisoformat, choices=()
    )
    given_at = LocalTimeField(
        required=False, label="Given at", help_text=f"Empty: now. Otherwise: {CLOCK}"
    )
    note = forms.CharField(required=False, max_length=300)


class NotGivenForm(forms.Form):
    """Record why a dose was not given."""

    due_at = forms.TypedChoiceField(
        label="The dose due at", coerce=datetime.fromisoformat, choices=()
    )
    because = forms.CharField(label="Not given, because", max_length=300)


class StopForm(forms.Form):
    """Stop what was prescribed."""

    because = forms.CharField(
        label="Stop it, because", help_text="Why, and on which vet's word."
    )


def _give(row: Prescription, given: Given, *, by: User, at: datetime) -> Dose:
    shown = given["given_at"]
    return give_dose(
        prescription=row,
        due_at=given["due_at"],
        given_at=at_zone(shown, clock_of(row.animal, at)) if shown else at,
        by=by,
        recorded_at=at,
        note=given["note"],
    )


def _not_given(row: Prescription, given: Given, *, by: User, at: datetime) -> Dose:
    return note_dose_not_given(
        prescription=row,
        due_at=given["due_at"],
        why=given["because"],
        by=by,
        recorded_at=at,
    )


def _stop(row: Prescription, given: Given, *, by: User, at: datetime) -> Prescription:
    return stop_prescription(prescription=row, reason=given["because"], by=by, at=at)


GIVE = Step(
    slug="give",
    title="Give a dose",
    form=GiveForm,
    take=_give,
    # What was given before it was stopped is still to be recorded.
    fits=lambda row: True,
    done="has a dose more on record.",
    caution=DOSES.text,
)
NOT_GIVEN = Step(
    slug="not-given",
    title="Not given, because",
    form=NotGivenForm,
    take=_not_given,
    fits=lambda row: True,
    done="has a dose noted as not given.",
    caution=DOSES.text,
)
STOP = Step(
    slug="stop",
    title="Stop",
    form=StopForm,
    take=_stop,
    fits=lambda row: row.stopped_at is None,
    done="is stopped.",
    caution=f"Some medicines must not be stopped at once: ask the vet first. {DOSES.text}",
    asks=Permission.PRESCRIBE,
)


@admin.register(Prescription)
class PrescriptionDesk(CautionedSteps[Prescription]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.PRESCRIBE
    changes = Permission.RECORD_CARE
    caution = DOSES
    adding = PrescriptionForm
    steps = (GIVE, NOT_GIVEN, STOP)
    offers = {"animal": IN_CARE}
    list_display = (
        *("animal", "drug", "every_hours", "first_at", "until_on", "vet"),
        "stopped_at",
    )
    list_select_related = ("animal",)
    list_filter = ("route",)
    search_fields = ("animal__code", "animal__name", "drug", "vet")
    ordering = ("-first_at", "-pk")

    def add(self, given: Given, *, by: User, at: datetime) -> Prescription:
        animal = given["animal"]
        return prescribe(
            animal=animal,
            drug=given["drug"],
            dose_per_kg=given["dose_per_kg"],
            dose_unit=DoseUnit(given["dose_unit"]),
            concentration_mg_per_ml=given["concentration_mg_per_ml"],
            route=Route(given["route"]),
            every_hours=given["every_hours"],
            first_at=at_zone(given["first_dose_at"], clock_of(animal, at)),
            until_on=given["until_on"],
            smallest_step_ml=given["smallest_step_ml"],
            vet=given["vet"],
            prescribed_on=given["prescribed_on"],
            reason=given["reason"],
            by=by,
            at=at,
        )

    def step_page(self, request: HttpRequest, pk: int, step: Step) -> HttpResponse:
        """Offer the doses that wait, and show what one would be before it is given."""
        row = Prescription.objects.select_related("animal").filter(pk=pk).first()
        if row is not None and "due_at" in step.form.base_fields:
            waiting = waiting_doses(prescription=row, at=timezone.now())
            told = f"{_told(row, waiting)} " if step is GIVE else ""
            step = replace(
                step,
                form=_offering(step.form, waiting),
                caution=f"{told}{step.caution}",
            )
        return super().step_page(request, pk, step)


def _offering(form: type[forms.Form], waiting: WaitingDoses) -> type[forms.Form]:
    """Return a form that offers the doses of which nothing is on record."""
    # Whole, because a base field is shared by all forms of its class.
    due_at = forms.TypedChoiceField(
        label=form.base_fields["due_at"].label,
        coerce=datetime.fromisoformat,
        choices=[
            (d.isoformat(), f"{d.astimezone(waiting.zone):%d %b %Y %H:%M}")
            for d in waiting.due[-SHOWN_DOSES:]
        ],
        initial=waiting.proposed.isoformat() if waiting.proposed else None,
        help_text="Those of which nothing is on record yet, by the site's clock.",
    )
    rest = {k: v for k, v in form.base_fields.items() if k != "due_at"}
    return type(form.__name__, (forms.Form,), {"due_at": due_at, **rest})


def _told(row: Prescription, waiting: WaitingDoses) -> str:
    """Say what a dose would be if it were given now, or why there is none."""
    if waiting.volume is None:
        return f"Nothing is to be given now: {waiting.refusal}"
    found = waiting.volume
    by = Route(row.route).value.replace("_", " ")
    amount = "" if found.amount_mg is None else f", {found.amount_mg:.4g} mg"
    return " ".join(
        (
            f"A dose given now is {found.volume_ml} mL of {row.drug} {by} "
            f"(exactly {found.exact_ml:.4g} mL{amount}), computed from {found.mass_g} g "
            f"weighed on {found.weighed_on:%d %b %Y}, as prescribed by {row.vet}.",
            *found.remarks,
        )
    )
