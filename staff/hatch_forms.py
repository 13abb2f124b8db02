"""What is typed when a box hatches: a day and an enclosure, and each egg's young."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clutches.queries.hatch_sheets import Home
from clutches.rules.vocabulary import Heel
from core.admin import DayField
from core.units import MassUnit
from husbandry.rules.profiles.values import IncubationRule
from staff.egg_forms import MassField
from staff.units import count

HEELS = [("", "not looked"), *((word.value, word.value) for word in Heel)]
AS_ABOVE, NOWHERE = "", "none"


def _homes(homes: Sequence[Home]) -> list[tuple[str, str]]:
    return [
        (str(home.id), f"{home.code}, {home.room}: {_living(home.animals)}")
        for home in homes
    ]


def _living(animals: int) -> str:
    return count(animals, "animal") if animals else "empty"


class HatchForm(forms.Form):
    """What holds for all that hatch at once."""

    on = DayField(
        label="Hatched on",
        error_messages={
            "invalid": "This is no date. Write it as 2027-03-12.",
            "required": "Say on which day they hatched.",
        },
    )
    enclosure = forms.ChoiceField(required=False, label="Put them into")

    def __init__(self, *args: Any, homes: Sequence[Home], **kwargs: Any) -> None:
        """Offer the enclosures."""
        super().__init__(*args, **kwargs)
        self.fields["enclosure"] = forms.ChoiceField(
            choices=[("", "no enclosure yet"), *_homes(homes)],
            required=False,
            label="Put them into",
        )


class HatchlingForm(forms.Form):
    """What is known of the young of one egg."""

    left = forms.ChoiceField(
        choices=HEELS, required=False, label="Left heel", widget=forms.RadioSelect
    )
    right = forms.ChoiceField(
        choices=HEELS, required=False, label="Right heel", widget=forms.RadioSelect
    )
    code = forms.CharField(
        required=False,
        max_length=20,
        label="Code, if not the next free one",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "off"}),
    )
    confirmed = forms.BooleanField(
        required=False, label="Weighed again, the mass is right"
    )

    def __init__(
        self,
        *args: Any,
        unit: MassUnit,
        band: IncubationRule | None,
        homes: Sequence[Home],
        **kwargs: Any,
    ) -> None:
        """Ask for the mass in the reader's unit, and offer the enclosures."""
        super().__init__(*args, **kwargs)
        self.band = band
        self.fields["mass_g"] = MassField(unit=unit, label="Mass")
        self.fields["enclosure"] = forms.ChoiceField(
            choices=[
                (AS_ABOVE, "as for all"),
                (NOWHERE, "no enclosure yet"),
                *_homes(homes),
            ],
            required=False,
            label="This one into",
        )

    def clean(self) -> dict[str, Any]:
        """Refuse a look at one heel only."""
        given = self.cleaned_data
        if bool(given.get("left")) != bool(given.get("right")):
            said = "Say what is at both heels, or that nobody looked at either."
            self.add_error("right", ValidationError(said))
        return given

    @property
    def heels(self) -> list[forms.BoundField]:
        """Return what is tapped."""
        return [self["left"], self["right"]]

    @property
    def rest(self) -> list[forms.BoundField]:
        """Return what is typed or chosen after the heels."""
        return [self["enclosure"], self["code"]]

    @property
    def looked(self) -> tuple[Heel, Heel] | None:
        """Return what was seen, or None where nobody looked."""
        given = self.cleaned_data
        if not given["left"]:
            return None
        return Heel(given["left"]), Heel(given["right"])

    @property
    def is_unlikely(self) -> bool:
        """Return whether the mass that was typed asks to be weighed again."""
        if not self.is_bound or self.band is None:
            return False
        mass = self.cleaned_data.get("mass_g")
        low, high = self.band.low, self.band.high
        if mass is None:
            return False
        return (low is not None and mass < low) or (high is not None and mass > high)
