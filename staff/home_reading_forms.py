"""What homes, or staff for them, hand in of what was measured: typed, or a file."""

from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from core.admin import DayField
from core.errors import DomainError
from core.units import celsius
from core.zones import instant
from husbandry.rules.import_answers import Answers
from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from husbandry.rules.vocabulary import Quantity, Zone
from placements.rules.readiness.files import LARGEST_FILE_BYTES
from placements.rules.readiness.typed import TypedReading
from placements.rules.vocabulary import UnitSystem
from staff.home_forms import NumberField, temperature_unit

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile

SPOTS = [
    (Zone.BASKING.value, "at the basking spot, where the animal's back will be"),
    (Zone.AMBIENT.value, "in the middle, in the shade"),
    (Zone.COOL.value, "in the cool part"),
]
ORDERS = [
    ("", "as the file shows it"),
    (DayOrder.DMY.value, "day first"),
    (DayOrder.MDY.value, "month first"),
    (DayOrder.YMD.value, "year first, in two digits"),
]
FILE_UNITS = [
    ("", "as the file says"),
    (Unit.C.value, "°C"),
    (Unit.F.value, "°F"),
]
# What a file does not say, and the field in which it is answered.
_ANSWERED_IN = {"day_order": "day_order", "unit": "unit", "start_date": "starts_on"}
_QUANTITIES = {
    "temperature": Quantity.TEMPERATURE_C,
    "humidity": Quantity.HUMIDITY_PCT,
    "uv_index": Quantity.UV_INDEX,
}


class ReadingForm(forms.Form):
    """What instruments showed at one spot at one time."""

    about = 0
    spot = forms.ChoiceField(choices=SPOTS, label="Where")
    on = DayField(
        label="Day",
    )
    at = forms.TimeField(label="Time", widget=forms.TimeInput(attrs={"type": "time"}))
    temperature = NumberField(label="Temperature", required=False)
    humidity = NumberField(label="Humidity, %", required=False)
    uv_index = NumberField(label="UV index", required=False)

    def __init__(self, *args: Any, system: UnitSystem, **kwargs: Any) -> None:
        """Name the reader's unit of temperature."""
        super().__init__(*args, **kwargs)
        self._unit = temperature_unit(system)
        self.fields["temperature"].label = f"Temperature, °{self._unit.value}"

    def clean(self) -> dict[str, Any]:
        """Ask for at least one value."""
        given: dict[str, Any] = super().clean() or {}
        if not self.errors and all(given.get(name) is None for name in _QUANTITIES):
            raise ValidationError("Type at least one of the three values.")
        return given

    def refuse(self, error: DomainError) -> None:
        """Put what an action refuses over the form."""
        self.add_error(None, error.sentence)

    def readings(self, zone: ZoneInfo) -> list[TypedReading]:
        """Return the values, taken at a time of the enclosure's clock."""
        given = self.cleaned_data
        on: date = given["on"]
        at: time = given["at"]
        when = datetime.fromtimestamp(instant(on, at, zone=zone), UTC)
        return [
            TypedReading(Zone(given["spot"]), quantity, when, self._si(name))
            for name, quantity in _QUANTITIES.items()
            if given[name] is not None
        ]

    def _si(self, name: str) -> Decimal:
        value: Decimal = self.cleaned_data[name]
        return celsius(value, self._unit) if name == "temperature" else value


class LoggerFileForm(forms.Form):
    """A logger's file, at which spot it hung, and what it does not say itself."""

    about = 0
    file = forms.FileField(
        label="The logger's file, CSV, text or .xlsx",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        error_messages={"required": "Choose a file."},
    )
    spot = forms.ChoiceField(choices=SPOTS, label="Where it hung")
    unit = forms.ChoiceField(
        choices=FILE_UNITS, required=False, label="Its temperatures are in"
    )
    day_order = forms.ChoiceField(choices=ORDERS, required=False, label="Its dates are")
    starts_on = DayField(
        required=False,
        label="First day, if it has times only",
    )
    channel = forms.CharField(
        required=False,
        max_length=120,
        label="Which instrument, if it holds several",
    )

    def clean_file(self) -> "UploadedFile[bytes]":
        """Refuse what is too large before it is read into memory."""
        file: UploadedFile[bytes] = self.cleaned_data["file"]
        if (file.size or 0) > LARGEST_FILE_BYTES:
            raise ValidationError(
                f"The file has {file.size:,} bytes; at most {LARGEST_FILE_BYTES:,} are "
                "taken. Export fewer days, or one value every five minutes."
            )
        return file

    def said(self) -> dict[str, Any]:
        """Return the file and what was said of it, as the action takes them."""
        given = self.cleaned_data
        order = given["day_order"]
        return {
            "data": given["file"].read(),
            "file_name": given["file"].name or "",
            "zone": Zone(given["spot"]),
            "channel": given["channel"],
            "answers": Answers(
                day_order=DayOrder(order) if order else None,
                units=(Unit(given["unit"]),) if given["unit"] else (),
                starts_on=given["starts_on"],
            ),
        }

    def refuse(self, error: DomainError) -> None:
        """Put what is asked or refused beside its field; browsers drop the file."""
        for name, sentence in error.fields.items():
            field = _ANSWERED_IN.get(name, name)
            self.add_error(field if field in self.fields else None, sentence)
        if not error.fields:
            self.add_error("file", error.sentence)
        self.add_error(None, "Nothing was taken. Choose the file once more.")
