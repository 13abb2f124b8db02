"""What is typed when animals are taken in: how they came, and each of them."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from django import forms

from clutches.queries.hatch_sheets import Home as Place
from core.admin import DayField
from core.models import Site
from core.units import MassUnit
from husbandry.models import Animal, Enclosure, Species
from husbandry.rules.sexes import UNSEXED, Sexing
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis
from placements.actions.intakes import ArrivalDetails, Giver, IntakeRow
from placements.models import Home
from placements.rules.vocabulary import ChipScan, IntakeCondition, IntakeSource
from staff.egg_forms import MassField
from staff.intake_words import CONDITIONS, SCANS, SOURCES
from staff.units import count

NO_DAY = {"invalid": "This is no date. Write it as 2027-03-12."}
PLAIN = {"autocomplete": "off", "autocapitalize": "off"}


class ArrivalForm(forms.Form):
    """How the animals came, from whom, and what came with them."""

    site = forms.ModelChoiceField(Site.objects.none(), label="Where", empty_label=None)
    source = forms.ChoiceField(
        label="How they came", choices=[(s.value, word) for s, word in SOURCES.items()]
    )
    on = DayField(
        required=False,
        label="Day, if not today",
        error_messages=NO_DAY,
    )
    at = forms.TimeField(
        required=False,
        label="Time, if not now",
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
        error_messages={"invalid": "This is no time. Write it as 14:30."},
    )
    home = forms.ModelChoiceField(
        Home.objects.none(), required=False, label="From whom, if on record"
    )
    giver = forms.CharField(
        required=False, max_length=120, label="Or from whom, somebody new"
    )
    contact = forms.CharField(
        required=False,
        max_length=1000,
        label="How to reach them",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    found_at = forms.CharField(
        required=False, max_length=200, label="Where found, if strays"
    )
    came_with = forms.CharField(
        required=False, max_length=2000, label="What came with them"
    )
    hold_until = DayField(
        required=False,
        label="May not leave until the end of, if not as the policy says",
        error_messages=NO_DAY,
    )
    hold_reason = forms.CharField(
        required=False, max_length=200, label="Which law or decision holds them"
    )
    note = forms.CharField(
        required=False,
        max_length=2000,
        label="Note",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, homes: Iterable[Home] | None, **kwargs: Any) -> None:
        """Offer the sites, and the homes to who may see them."""
        super().__init__(*args, **kwargs)
        sites: Any = self.fields["site"]
        sites.queryset = Site.objects.order_by("pk")
        if homes is None:
            del self.fields["home"]
            self.fields["giver"].label = "From whom"
        else:
            offered: Any = self.fields["home"]
            offered.queryset = homes

    def clean(self) -> dict[str, Any]:
        """Refuse two answers to one question."""
        given = self.cleaned_data
        if given.get("home") and given.get("giver"):
            self.add_error("giver", "Name a home on record or somebody new, not both.")
        return given

    def details(self, at: datetime) -> ArrivalDetails:
        """Return how they came, as the action takes it."""
        given = self.cleaned_data
        new = Giver(given["giver"], given["contact"]) if given["giver"] else None
        return ArrivalDetails(
            site=given["site"],
            source=IntakeSource(given["source"]),
            arrived_at=at,
            home=given.get("home") or new,
            found_at=given["found_at"],
            hold_until=given["hold_until"],
            hold_reason=given["hold_reason"],
            came_with=given["came_with"],
            note=given["note"],
        )


class AnimalForm(forms.Form):
    """One animal of a delivery."""

    code = forms.CharField(
        required=False, max_length=20, label="Code", widget=forms.TextInput(PLAIN)
    )
    again = forms.BooleanField(required=False, label="It was here before")
    species = forms.ModelChoiceField(
        Species.objects.none(),
        required=False,
        label="Species",
        empty_label="not known yet",
    )
    species_sure = forms.BooleanField(
        required=False, label="Somebody who knows the species has looked"
    )
    species_told = forms.CharField(
        required=False, max_length=120, label="What it was said to be"
    )
    chip_scan = forms.ChoiceField(
        label="Microchip", choices=[(s.value, word) for s, word in SCANS.items()]
    )
    microchip = forms.CharField(
        required=False,
        max_length=40,
        label="Its number",
        widget=forms.TextInput({**PLAIN, "inputmode": "numeric"}),
    )
    condition = forms.ChoiceField(
        label="Condition", choices=[(c.value, word) for c, word in CONDITIONS.items()]
    )
    mass_reason = forms.CharField(
        required=False, max_length=200, label="If the mass is unlikely, why it is right"
    )
    name = forms.CharField(required=False, max_length=80, label="Name")
    sex = forms.ChoiceField(
        required=False,
        label="Sex",
        choices=[(s.value, s.value) for s in (Sex.UNKNOWN, Sex.FEMALE, Sex.MALE)],
    )
    sex_basis = forms.ChoiceField(
        required=False,
        label="Known by",
        choices=[
            (b.value, b.value.replace("_", " "))
            for b in (SexBasis.NOT_SEXED, *(s for s in SexBasis if s != "not_sexed"))
        ],
    )
    came_with = forms.CharField(
        required=False, max_length=2000, label="What came with it"
    )
    note = forms.CharField(
        required=False, max_length=2000, label="Note on the animal, not on people"
    )

    def __init__(
        self, *args: Any, unit: MassUnit, places: Sequence[Place], **kwargs: Any
    ) -> None:
        """Ask for the mass in the reader's unit, and offer species and enclosures."""
        super().__init__(*args, **kwargs)
        species: Any = self.fields["species"]
        species.queryset = Species.objects.exclude(code="not-yet-known").order_by(
            "common_name"
        )
        self.fields["mass_g"] = MassField(unit=unit, label="Mass")
        self.fields["enclosure"] = forms.ChoiceField(
            required=False,
            label="Put it into",
            choices=[("", "no enclosure yet"), *map(_place, places)],
        )

    @property
    def first(self) -> list[forms.BoundField]:
        """Return what is asked of every animal."""
        names = ("species", "species_told", "chip_scan", "microchip", "condition")
        return [self[name] for name in (*names, "mass_g", "enclosure")]

    @property
    def rest(self) -> list[forms.BoundField]:
        """Return what can be said besides."""
        names = ("name", "sex", "sex_basis", "mass_reason", "came_with", "note")
        return [self[name] for name in names]

    @property
    def is_more_wrong(self) -> bool:
        """Return whether something folded away has to be looked at."""
        return any(field.errors for field in self.rest)

    def row(
        self, known: dict[str, Animal], enclosures: dict[int, Enclosure]
    ) -> IntakeRow:
        """Return the animal, as the action takes it.

        Args:
            known: animals on record, by code.
            enclosures: by key.
        """
        given = self.cleaned_data
        to, again = given["enclosure"], known.get(given["code"].strip())
        return IntakeRow(
            code=given["code"],
            again=again if given["again"] else None,
            name=given["name"],
            species=None if given["again"] else given["species"],
            species_told=given["species_told"],
            species_sure=given["again"] or given["species_sure"],
            sexing=UNSEXED if given["again"] else self._sexing(),
            microchip=given["microchip"],
            chip_scan=ChipScan(given["chip_scan"]),
            condition=IntakeCondition(given["condition"]),
            mass_g=given["mass_g"],
            mass_reason=given["mass_reason"],
            enclosure=enclosures.get(int(to)) if to else None,
            came_with=given["came_with"],
            note=given["note"],
        )

    def _sexing(self) -> Sexing:
        given = self.cleaned_data
        sex = Sex(given["sex"] or Sex.UNKNOWN)
        basis = SexBasis(given["sex_basis"] or SexBasis.NOT_SEXED)
        # What somebody else says is not seen; what was seen once is not confirmed.
        told = sex is Sex.UNKNOWN or basis is SexBasis.REPORTED
        return Sexing(sex, basis, Confidence.UNCERTAIN if told else Confidence.LIKELY)


def _place(place: Place) -> tuple[str, str]:
    living = count(place.animals, "animal") if place.animals else "empty"
    return str(place.id), f"{place.code}, {place.room}: {living}"
