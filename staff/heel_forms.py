"""What is typed at a look at heels."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clutches.rules.vocabulary import Heel
from core.photographs import (
    LARGEST_BYTES,
    PhotographError,
    check_bytes,
    stripped,
)

HEELS = [(word.value, word.value) for word in Heel]
SAY = "Say what you see at the {} heel; unclear is an answer too."


class HeelsForm(forms.Form):
    """One look: left, right, a note, a photograph."""

    animal = forms.CharField(max_length=40, widget=forms.HiddenInput)
    left = forms.ChoiceField(
        choices=HEELS,
        label="Left heel",
        widget=forms.RadioSelect,
        error_messages={"required": SAY.format("left")},
    )
    right = forms.ChoiceField(
        choices=HEELS,
        label="Right heel",
        widget=forms.RadioSelect,
        error_messages={"required": SAY.format("right")},
    )
    note = forms.CharField(required=False, max_length=300, label="Note")
    photo = forms.FileField(
        required=False,
        label="Photograph",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png"}),
        error_messages={"empty": "This file is empty. Give a JPEG or PNG."},
    )

    @property
    def heels(self) -> list[forms.BoundField]:
        """Return what is tapped."""
        return [self["left"], self["right"]]

    @property
    def rest(self) -> list[forms.BoundField]:
        """Return what is typed."""
        return [self["note"], self["photo"]]

    def clean_photo(self) -> bytes | None:
        """Return the photograph, held to what can be kept before a look is recorded."""
        given = self.cleaned_data["photo"]
        if given is None:
            return None
        try:
            check_bytes(given.size or 0)
            data: bytes = given.read(LARGEST_BYTES)
            stripped(data)
        except PhotographError as error:
            raise ValidationError(error.sentence) from error
        return data

    def clean(self) -> dict[str, Any]:
        """Say that a browser lets go of a photograph when anything else is wrong."""
        if self.errors and self.files and "photo" not in self.errors:
            self.add_error("photo", "Choose the photograph again.")
        return self.cleaned_data
