"""What is typed at a box or an egg: which eggs, what was seen or done, and when."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any, cast
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from clutches.models import EggBox
from clutches.queries.grids import eggs_at
from clutches.rules.vocabulary import Candled, EggState, FailureCause
from core.admin import DayField
from core.errors import DomainError
from core.units import MassUnit, grams
from core.zones import instant
from staff.egg_words import CAUSES, SEEN

FAILED, HATCHED = "failed", "hatched"
LOOKS = [(word.value, SEEN[word]) for word in Candled]
DEEDS = [
    (EggState.PIPPED.value, "pipped"),
    (HATCHED, "hatched"),
    (FAILED, "failed"),
]
NOON = time(12)


class MassField(forms.CharField):
    """A mass in the reader's unit; cleaned it is grams."""

    def __init__(self, *, unit: MassUnit, label: str, **kwargs: Any) -> None:
        """Keep the unit, which the label names."""
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(
            required=False,
            max_length=20,
            label=f"{label}, {unit.value}",
            widget=forms.TextInput(attrs=attrs),
            **kwargs,
        )
        self.unit = unit

    def clean(self, value: Any) -> Any:
        """Return grams, or None where nothing is typed.

        Raises:
            ValidationError: it is no number.
        """
        text = super().clean(value)
        if not text:
            return None
        try:
            return grams(Decimal(text.replace(",", ".")), self.unit)
        except ArithmeticError as error:
            raise ValidationError(
                f"“{text}” is no mass. A number above 0 would be, such as 120."
            ) from error


class EggsForm(forms.Form):
    """Choose eggs, say what was seen or what became of them."""

    looks, deeds = LOOKS, DEEDS
    eggs = forms.TypedMultipleChoiceField(
        coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    places = forms.CharField(
        required=False,
        max_length=300,
        label="Or name places",
        help_text="such as rows 1–3, B4, A1–C2, column B, all",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "off"}),
    )
    what = forms.ChoiceField(
        choices=[("Against the light", LOOKS), ("What became of them", DEEDS)],
        widget=forms.RadioSelect,
        label="What",
        error_messages={"required": "Say what was seen or what became of them."},
    )
    cause = forms.ChoiceField(
        choices=[("", "—"), *((c.value, CAUSES[c]) for c in FailureCause)],
        required=False,
        label="If failed, why",
    )
    on = DayField(
        required=False,
        label="Day, if not today",
        error_messages={"invalid": "This is no date. Write it as 2027-03-12."},
    )
    note = forms.CharField(required=False, max_length=200, label="Note")

    def __init__(self, *args: Any, box: EggBox, keys: Sequence[int], **kwargs: Any):
        """Keep the box, and which eggs lie in it."""
        super().__init__(*args, **kwargs)
        self.box, self.named = box, frozenset[int]()
        eggs = cast("forms.TypedMultipleChoiceField", self.fields["eggs"])
        eggs.choices = [(key, key) for key in keys]

    def clean_places(self) -> str:
        """Refuse places that the box does not have, or where no egg lies."""
        text: str = self.cleaned_data["places"]
        if text.strip():
            try:
                found = eggs_at(box=self.box, places=text)
            except DomainError as error:
                raise ValidationError(error.sentence) from error
            self.named = frozenset(egg.pk for egg in found)
        return text

    def clean(self) -> dict[str, Any]:
        """Refuse that no egg was chosen, or that one failed without a cause."""
        given = self.cleaned_data
        if "places" in given and not self.chosen:
            self.add_error("places", "No egg is chosen: tap some, or name places.")
        if given.get("what") == FAILED and not given.get("cause"):
            self.add_error("cause", "Say why; unknown is an answer too.")
        if given.get("what") != FAILED:
            given["cause"] = ""
        return given

    @property
    def chosen(self) -> frozenset[int]:
        """Return the keys of the eggs that were tapped or named."""
        return self.named | frozenset(self.cleaned_data.get("eggs", ()))

    @property
    def rest(self) -> list[forms.BoundField]:
        """Return the fields that are drawn as every form draws them."""
        return [self[name] for name in ("cause", "on", "note")]

    @property
    def ticked(self) -> frozenset[int]:
        """Return the keys of the eggs that were tapped, to tick them again."""
        typed = self.data.getlist("eggs") if self.is_bound else []  # type: ignore[attr-defined] # a QueryDict
        return frozenset(int(key) for key in typed if key.isdecimal())


class LookForm(forms.Form):
    """Somebody looked into a box: weighed it, watered it, or only looked."""

    on = DayField(
        required=False,
        label="Day, if not today",
        error_messages={"invalid": "This is no date. Write it as 2027-03-12."},
    )
    look_note = forms.CharField(required=False, max_length=300, label="Note")

    def __init__(self, *args: Any, unit: MassUnit, **kwargs: Any) -> None:
        """Ask for masses in the reader's unit."""
        kwargs["auto_id"] = "look-%s"
        super().__init__(*args, **kwargs)
        self.fields = {
            "mass_g": MassField(
                unit=unit, label="Mass with all in it, before watering"
            ),
            "water_g": MassField(unit=unit, label="Water added"),
            **self.fields,
        }


class MendForm(forms.Form):
    """How an egg ought to stand on record."""

    state = forms.ChoiceField(choices=[(word.value, word.value) for word in EggState])
    pipped_on = DayField(required=False, label="Pipped on")
    ended_on = DayField(
        required=False,
        label="Hatched or failed on",
    )
    cause = forms.ChoiceField(
        choices=[("", "—"), *((c.value, CAUSES[c]) for c in FailureCause)],
        required=False,
        label="If failed, why",
    )
    reason = forms.CharField(max_length=200, label="Mend it, because")


def instant_of(on: date | None, *, now: datetime, zone: ZoneInfo) -> datetime:
    """Return when something was done of which only the day was typed.

    Args:
        on: local day; None: now.
        now: also for today, as far as the day has come.
        zone: of the site.
    """
    if on is None or on == now.astimezone(zone).date():
        return now
    return datetime.fromtimestamp(instant(on, NOON, zone=zone), UTC)
