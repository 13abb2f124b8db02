"""What homes, or staff for them, type of enclosures and of what was measured there."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from core.errors import DomainError
from core.units import LengthUnit, TemperatureUnit, centimetres
from husbandry.rules.vocabulary import EnclosureKind
from placements.models import HomeEnclosure
from placements.rules.readiness.details import EnclosureDetails
from placements.rules.readiness.telling import LAMPS
from placements.rules.vocabulary import UnitSystem, UvbLamp

KINDS = {
    EnclosureKind.SCREEN: "screen on all sides",
    EnclosureKind.PART_SOLID: "part screen, part solid",
    EnclosureKind.GLASS: "glass",
    EnclosureKind.TUB: "tub",
}
SIGHT = [("", "not said"), ("no", "no"), ("yes", "yes")]


def _plain_input() -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})


class NumberField(forms.CharField):
    """A number with a decimal point or comma, as people type it."""

    def __init__(self, *, label: str, required: bool = True, **kwargs: Any) -> None:
        """Show a plain field; phones bring their digits."""
        super().__init__(
            label=label,
            required=required,
            max_length=20,
            widget=_plain_input(),
            **kwargs,
        )

    def clean(self, value: Any) -> Any:
        """Return the number, or None where nothing is typed.

        Raises:
            ValidationError: it is no number.
        """
        text = super().clean(value)
        if not text:
            return None
        try:
            return Decimal(text.replace(",", ".").replace("−", "-"))
        except ArithmeticError as error:
            raise ValidationError(
                f"“{text}” is no number. Such as 61 or 26.5 would be."
            ) from error


def length_unit(system: UnitSystem) -> LengthUnit:
    """Return in which unit lengths are typed."""
    return LengthUnit.IN if system is UnitSystem.IMPERIAL else LengthUnit.CM


def temperature_unit(system: UnitSystem) -> TemperatureUnit:
    """Return in which unit temperatures are typed."""
    return TemperatureUnit.F if system is UnitSystem.IMPERIAL else TemperatureUnit.C


class EnclosureForm(forms.Form):
    """An enclosure as its home describes it."""

    about = 0
    label = forms.CharField(max_length=60, label="What you call it")
    kind = forms.ChoiceField(
        choices=[(kind.value, word) for kind, word in KINDS.items()], label="Made of"
    )
    width = NumberField(label="Width inside")
    depth = NumberField(label="Depth inside")
    height = NumberField(label="Height inside")
    time_zone = forms.CharField(
        max_length=60,
        label="Time zone",
        help_text="such as Europe/Lisbon or America/Denver",
    )
    lights_on = forms.TimeField(
        label="Lights go on", widget=forms.TimeInput(attrs={"type": "time"})
    )
    lights_off = forms.TimeField(
        label="Lights go off", widget=forms.TimeInput(attrs={"type": "time"})
    )
    uvb_lamp = forms.ChoiceField(
        choices=[(lamp.value, word) for lamp, word in LAMPS.items()],
        label="UVB light comes from",
    )
    uvb_percent = NumberField(label="UVB printed on the lamp, %", required=False)
    uvb_distance = NumberField(label="Lamp to the highest perch", required=False)
    uvb_through_screen = forms.BooleanField(
        required=False, label="It shines through a screen"
    )
    laying_bin = forms.BooleanField(
        required=False, label="There is a bin to dig and lay in"
    )
    other_animals = forms.IntegerField(
        min_value=0, max_value=50, initial=0, label="Animals that live in it already"
    )
    sees_others = forms.ChoiceField(
        choices=SIGHT,
        required=False,
        label="Another of its kind can be seen from inside",
    )
    note = forms.CharField(
        required=False,
        max_length=2_000,
        label="Anything else",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, system: UnitSystem, **kwargs: Any) -> None:
        """Name the reader's unit beside each length."""
        super().__init__(*args, **kwargs)
        self._unit = length_unit(system)
        for name in ("width", "depth", "height", "uvb_distance"):
            self.fields[name].label = f"{self.fields[name].label}, {self._unit.value}"

    def details(self) -> EnclosureDetails:
        """Return what was typed, as the action takes it."""
        given = self.cleaned_data
        sees = {"yes": True, "no": False}.get(given["sees_others"])
        return EnclosureDetails(
            label=given["label"],
            kind=EnclosureKind(given["kind"]),
            width_cm=self._cm("width"),
            depth_cm=self._cm("depth"),
            height_cm=self._cm("height"),
            time_zone=given["time_zone"],
            lights_on=given["lights_on"],
            lights_off=given["lights_off"],
            uvb_lamp=UvbLamp(given["uvb_lamp"]),
            uvb_percent=given["uvb_percent"],
            uvb_distance_cm=(
                None if given["uvb_distance"] is None else self._cm("uvb_distance")
            ),
            uvb_through_screen=given["uvb_through_screen"],
            laying_bin=given["laying_bin"],
            other_animals=given["other_animals"],
            sees_others=sees,
            note=given["note"],
        )

    def _cm(self, name: str) -> Decimal:
        value: Decimal = self.cleaned_data[name]
        return round(centimetres(value, self._unit), 1) if value.is_finite() else value

    def refuse(self, error: DomainError) -> None:
        """Put what an action refuses beside the fields that it is about."""
        for name, sentence in error.fields.items():
            field = name.removesuffix("_cm")
            self.add_error(field if field in self.fields else None, sentence)
        if not error.fields:
            self.add_error(None, error.sentence)


def described(enclosure: HomeEnclosure, system: UnitSystem) -> dict[str, Any]:
    """Return an enclosure as the form of its description shows it at first."""
    unit = length_unit(system)
    names = (
        *("label", "kind", "time_zone", "lights_on", "lights_off", "uvb_lamp"),
        *("uvb_through_screen", "laying_bin", "other_animals", "note"),
    )
    sees = {True: "yes", False: "no", None: ""}
    return {
        **{name: getattr(enclosure, name) for name in names},
        "width": _length(enclosure.width_cm, unit),
        "depth": _length(enclosure.depth_cm, unit),
        "height": _length(enclosure.height_cm, unit),
        "uvb_distance": _length(enclosure.uvb_distance_cm, unit),
        "uvb_percent": _plain(enclosure.uvb_percent),
        "sees_others": sees[enclosure.sees_others],
    }


def _length(value_cm: Decimal | None, unit: LengthUnit) -> str:
    if value_cm is None or unit is LengthUnit.CM:
        return _plain(value_cm)
    return _plain(round(value_cm / centimetres(Decimal(1), unit), 1))


def _plain(number: Decimal | None) -> str:
    return "" if number is None else f"{number:f}".rstrip("0").rstrip(".")
