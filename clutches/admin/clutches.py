"""What females laid or bore is recorded and mended; who came of it is looked at."""

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from clutches.actions.clutches import (
    ClutchChanges,
    ClutchError,
    LayingResult,
    correct_clutch,
    record_birth,
    record_laying,
)
from clutches.admin.boxes import BOXES_IN_USE
from clutches.models import Clutch, Hatchling, Pairing
from clutches.rules.vocabulary import ClutchKind
from core.admin import DayField, Desk, Given, RecordDesk, RecordForm, person
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import Sex

EGGS = ("eggs_set", "eggs_infertile", "eggs_broken")
YOUNG = ("born_alive", "born_dead")
DAMS: QuerySet[Animal] = Animal.objects.exclude(sex=Sex.MALE.value)
PAIRS = Pairing.objects.select_related("dam", "sire")


class ClutchForm(RecordForm[Clutch]):
    """A clutch of eggs, or live young; the numbers of the other kind stay 0."""

    laid_on = DayField(label="Laid or born on", help_text="Today or earlier.")
    box = forms.ModelChoiceField(
        BOXES_IN_USE,
        required=False,
        help_text="Where the eggs are put, in order on free places; empty: nowhere yet.",
    )

    class Meta:
        model = Clutch
        fields = (
            *("code", "kind", "dam", "species", "site", "laid_on"),
            *(*EGGS, *YOUNG, "mass_g", "pairing", "plan", "box", "note"),
        )
        help_texts = {
            "pairing": "Empty: no male, which is as normal, or none that is known.",
            "eggs_set": "Kept to incubate; numbered from 1.",
        }


class CorrectClutchForm(RecordForm[Clutch]):
    """Mend what was recorded wrongly; what it said stays in the audit trail."""

    laid_on = DayField(label="Laid or born on")
    because = forms.CharField(
        label="Correct it, because",
        max_length=300,
        help_text="What was wrong, or what became known.",
    )

    class Meta:
        model = Clutch
        fields = (
            *("code", "dam", "laid_on", *EGGS, *YOUNG),
            *("mass_g", "pairing", "plan", "note"),
        )


@admin.register(Clutch)
class ClutchDesk(RecordDesk[Clutch]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = ClutchForm, CorrectClutchForm
    # Retired plans too: a clutch that is kept by one stays so when it is mended.
    offers = {"dam": DAMS, "pairing": PAIRS}
    list_display = ("code", "species", "dam", "laid_on", "kind", *EGGS, "site")
    list_select_related = ("species", "dam", "site")
    list_filter = ("kind", "species", "site")
    search_fields = ("code", "dam__code", "dam__name", "note")
    date_hierarchy = "laid_on"

    def keep(self, request: HttpRequest, row: Clutch, form: Any) -> Clutch:
        given, by, at = form.cleaned_data, person(request), timezone.now()
        if row.pk:
            row, remarks = correct_clutch(
                clutch=row, by=by, at=at, reason=given["because"], **_changes(given)
            )
        else:
            result = _record(given, by=by, at=at)
            row, remarks = result.clutch, result.remarks
        for remark in remarks:
            self.message_user(request, remark, messages.WARNING)
        return row


def _record(given: Given, *, by: User, at: datetime) -> LayingResult:
    """Record eggs or young, as the kind says.

    Raises:
        ClutchError: it cannot be, or something of the other kind was typed.
    """
    kind = ClutchKind(given["kind"])
    eggs = kind is ClutchKind.EGGS
    for name in YOUNG if eggs else (*EGGS, "plan", "box"):
        if given[name]:
            raise ClutchError(
                f"{name.replace('_', ' ').capitalize()} does not go with "
                f"{kind.value.replace('_', ' ')}: leave it empty, or choose the other "
                "kind.",
                fields={name: "empty"},
            )
    common = {
        **{name: given[name] for name in ("code", "dam", "species", "site")},
        **{name: given[name] for name in ("mass_g", "pairing", "note")},
    }
    if not eggs:
        return record_birth(
            **common,
            born_on=given["laid_on"],
            **{name: given[name] for name in YOUNG},
            by=by,
            at=at,
        )
    return record_laying(
        **common,
        laid_on=given["laid_on"],
        **{name: given[name] for name in EGGS},
        plan=given["plan"],
        box=given["box"],
        by=by,
        at=at,
    )


def _changes(given: Given) -> ClutchChanges:
    return {
        "code": given["code"],
        "dam": given["dam"],
        "pairing": given["pairing"],
        "laid_on": given["laid_on"],
        "eggs_set": given["eggs_set"],
        "eggs_infertile": given["eggs_infertile"],
        "eggs_broken": given["eggs_broken"],
        "born_alive": given["born_alive"],
        "born_dead": given["born_dead"],
        "mass_g": given["mass_g"],
        "plan": given["plan"],
        "note": given["note"],
    }


@admin.register(Hatchling)
class HatchlingDesk(Desk[Hatchling]):
    """Made where eggs hatch, or where animals are ascribed to a clutch."""

    sees = Permission.SEE_ANIMALS
    list_display = ("animal", "clutch", "egg")
    list_select_related = ("animal", "clutch", "egg__clutch")
    list_filter = ("clutch__species",)
    search_fields = ("animal__code", "animal__name", "clutch__code")
