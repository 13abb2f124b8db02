"""What is typed of an animal that came: a look over, a photograph, a hold."""

from typing import Any

from django import forms

from core.admin import DayField
from husbandry.models import Species
from husbandry.rules.profiles.values import WarningSign
from placements.rules.exams import ExamPart
from placements.rules.vocabulary import BodySystem, ExamOutcome
from staff.intake_forms import NO_DAY
from staff.intake_words import OUTCOMES, SYSTEMS

NOT_SEEN = ExamOutcome.NOT_LOOKED_AT.value


class ExamForm(forms.Form):
    """A look over a whole animal, part by part."""

    examined_by = forms.CharField(max_length=160, label="Who looked")
    note = forms.CharField(
        required=False,
        max_length=2000,
        label="Note",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    signs = forms.MultipleChoiceField(
        required=False,
        label="Warning signs that were seen",
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(
        self, *args: Any, warnings: tuple[WarningSign, ...] = (), **kwargs: Any
    ) -> None:
        """Ask about each part, and offer the warning signs of its profile."""
        super().__init__(*args, **kwargs)
        offered: Any = self.fields["signs"]
        offered.choices = [(sign.id, sign.text) for sign in warnings]
        for system, word in SYSTEMS.items():
            self.fields[system.value] = forms.ChoiceField(
                required=False,
                label=word,
                initial=NOT_SEEN,
                choices=[(o.value, told) for o, told in OUTCOMES.items()],
            )
            self.fields[f"{system.value}_note"] = forms.CharField(
                required=False, max_length=300, label=f"{word}, in words"
            )

    @property
    def systems(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Return each part with its note."""
        return [(self[s.value], self[f"{s.value}_note"]) for s in BodySystem]

    def parts(self) -> tuple[ExamPart, ...]:
        """Return what was seen, as the action takes it."""
        given = self.cleaned_data
        return tuple(
            ExamPart(
                system,
                ExamOutcome(given[system.value] or NOT_SEEN),
                given[f"{system.value}_note"],
            )
            for system in BodySystem
        )


class PhotoForm(forms.Form):
    """A photograph of an animal as it came."""

    photo = forms.FileField(
        label="Photograph",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png"}),
        error_messages={
            "required": "Choose a photograph first.",
            "empty": "This file is empty. Give a JPEG or PNG.",
        },
    )
    caption = forms.CharField(required=False, max_length=200, label="What is seen")


class HoldForm(forms.Form):
    """Until when the animals of a delivery are held."""

    until_on = DayField(
        label="May not leave until the end of",
        error_messages=NO_DAY,
    )
    reason = forms.CharField(max_length=200, label="Which law or decision")


class LiftForm(forms.Form):
    """That one animal may leave before its hold is over."""

    reason = forms.CharField(max_length=200, label="Who decided it, and why")


class SettleForm(forms.Form):
    """What an animal is that came without anybody knowing."""

    species = forms.ModelChoiceField(
        Species.objects.exclude(code="not-yet-known").order_by("common_name"),
        label="It is a",
    )
    reason = forms.CharField(max_length=200, label="Recognised by")
