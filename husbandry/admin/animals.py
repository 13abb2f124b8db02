"""Animals: registered, and mended with a reason."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import DayField, Desk, Given, RecordForm, Step, SteppedDesk
from core.models import User
from core.roles import Permission
from husbandry.actions.animal_records import AnimalChanges, AnimalDetails
from husbandry.actions.animals import correct_animal, mark_left, register_animal
from husbandry.actions.deaths import record_death
from husbandry.models import Animal, EarlierCare
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)

IN_CARE = Animal.objects.filter(status=AnimalStatus.IN_CARE)
FIELDS = (
    *("code", "name", "species", "arrived_on"),
    *("sex", "sex_basis", "sex_confidence", "hatched_on", "hatched_precision"),
    *("dam", "sire", "origin", "origin_note", "microchip", "notes"),
)


class AnimalForm(RecordForm[Animal]):
    microchip = forms.CharField(
        required=False,
        help_text="15 digits by ISO 11784, or 10 digits of an older, non-ISO chip; "
        "spaces and dashes may stand between.",
    )

    class Meta:
        model = Animal
        fields = FIELDS
        help_texts = {
            "sex_basis": "How the sex is known.",
            "dam": "The mother, if she is on record.",
            "sire": "The father, if he is on record.",
        }

    def clean_microchip(self) -> str | None:
        """Take out what only helps reading; without a chip there is no number."""
        typed: str = self.cleaned_data["microchip"]
        return typed.replace(" ", "").replace("-", "") or None


class CorrectAnimalForm(AnimalForm):
    """Mend what was recorded wrongly; what it said stays in the audit trail."""

    because = forms.CharField(
        label="Correct it, because",
        help_text="What was wrong, or what became known.",
    )


class LeftForm(forms.Form):
    """Note that an animal died or was lost."""

    status = forms.ChoiceField(
        choices=[("", "—"), (AnimalStatus.DEAD, "dead"), (AnimalStatus.LOST, "lost")],
        label="It is",
        help_text="One that goes to a home is handed over at its placement instead.",
    )
    on = DayField(
        label="Since", help_text="The local day. Its stay ends with that day."
    )
    because = forms.CharField(
        required=False,
        help_text="How it came about, as far as it is known; needed for a death.",
    )
    euthanised_by = forms.CharField(
        required=False,
        label="Put to sleep by",
        help_text="The licensed vet, where a vet did; otherwise empty.",
    )


def _note_left(row: Animal, given: Given, *, by: User, at: datetime) -> object:
    if given["status"] == AnimalStatus.DEAD:
        return record_death(
            animal=row,
            on=given["on"],
            circumstances=given["because"],
            euthanised_by=given["euthanised_by"],
            by=by,
            at=at,
        )
    return mark_left(
        animal=row,
        status=AnimalStatus(given["status"]),
        on=given["on"],
        by=by,
        at=at,
        reason=given["because"],
    )


LEFT = Step(
    slug="left",
    title="Note that it died or was lost",
    form=LeftForm,
    take=_note_left,
    fits=lambda row: row.status == AnimalStatus.IN_CARE,
    done="is noted as dead or lost.",
    caution="This cannot be taken back here. No animal is let go outdoors; a release of a "
    "native animal by those whom the law permits is a placement. Local law says "
    "whether a death or an escape has to be reported and where a body goes; a "
    "licensed reptile vet can find out what it died of. Wash your hands: reptiles can "
    "carry Salmonella.",
)


@admin.register(Animal)
class AnimalDesk(SteppedDesk[Animal]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.EDIT_ANIMALS
    adding, changing = AnimalForm, CorrectAnimalForm
    steps = (LEFT,)
    list_display = ("code", "name", "species", "sex", "hatched_on", "status")
    list_select_related = ("species",)
    list_filter = ("status", "species", "sex", "origin")
    search_fields = ("code", "name", "microchip")

    def add(self, given: Given, *, by: User, at: datetime) -> Animal:
        return register_animal(
            code=given["code"],
            species=given["species"],
            arrived_on=given["arrived_on"],
            by=by,
            at=at,
            **_details(given),
        )

    def change(self, row: Animal, given: Given, *, by: User, at: datetime) -> Animal:
        changes: AnimalChanges = {
            "code": given["code"],
            "species": given["species"],
            "arrived_on": given["arrived_on"],
            **_details(given),
        }
        return correct_animal(
            animal=row, by=by, at=at, reason=given["because"], **changes
        )


def _details(given: Given) -> AnimalDetails:
    return {
        "name": given["name"],
        "sex": Sex(given["sex"]),
        "sex_basis": SexBasis(given["sex_basis"]),
        "sex_confidence": Confidence(given["sex_confidence"]),
        "hatched_on": given["hatched_on"],
        "hatched_precision": DatePrecision(given["hatched_precision"]),
        "dam": given["dam"],
        "sire": given["sire"],
        "origin": Origin(given["origin"]),
        "origin_note": given["origin_note"],
        "microchip": given["microchip"] or "",
        "notes": given["notes"],
    }


@admin.register(EarlierCare)
class EarlierCareDesk(Desk[EarlierCare]):
    # Written when an animal comes again; taken in on the pages of arrivals.
    sees = Permission.SEE_ANIMALS
    list_display = ("animal", "arrived_on", "left_on", "status")
    list_select_related = ("animal",)
    list_filter = ("status",)
    search_fields = ("animal__code", "animal__name")
