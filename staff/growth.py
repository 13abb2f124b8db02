"""How one animal grows: a page of sentences, its chart, and the numbers behind it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from core.errors import DomainError
from core.roles import Permission
from core.units import MassUnit, grams
from husbandry.models import Animal
from husbandry.queries.growth import growth_of
from husbandry.rules.assessments import Assessment
from husbandry.rules.growth.pictures import Growth
from husbandry.rules.masses import round_mass
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.sentences import growing, names, numbers
from husbandry.rules.sentences.findings import describe
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind
from staff.charting import svg
from staff.doors import opens_to, person
from staff.growth_charting import NARROW, WIDE, growth_chart
from staff.sourced import title
from staff.units import day, units_of


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing that the weighings say is wrong, in words."""

    urgency: str
    what: str
    first_step: str
    why: str


@dataclass(frozen=True, slots=True)
class WeighedRow:
    """One weighing in the table behind the chart."""

    on: str
    age: str
    mass: str


@dataclass(frozen=True, slots=True)
class MateRow:
    """What one clutch-mate weighed at the animal's age."""

    id: int
    label: str
    left: bool
    weighed: WeighedRow


@dataclass(frozen=True, slots=True)
class ConditionRow:
    """One length, the weighing nearest to it, and the mass by length."""

    on: str
    length: str
    weighed: str
    index: str


class MassForm(forms.Form):
    """The mass whose age is asked for, in the reader's unit."""

    mass = forms.CharField(
        required=False,
        strip=True,
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )

    def __init__(self, *args: object, unit: MassUnit, **kwargs: object) -> None:
        """Keep the unit, which the label names."""
        super().__init__(*args, **kwargs)  # type: ignore[arg-type] # Django's own many arguments
        self.unit = unit
        self.fields["mass"].label = f"Mass in {unit.value}"

    def clean_mass(self) -> Decimal | None:
        """Return the mass in grams, or None where nothing is asked."""
        text = self.cleaned_data["mass"]
        if not text:
            return None
        try:
            shown = Decimal(text.replace(",", "."))
            return round_mass(grams(shown, self.unit))
        except DomainError as error:
            raise ValidationError(error.sentence) from error
        except ArithmeticError as error:
            raise ValidationError(
                f"“{text}” is no mass. A number above 0 would be, such as 120."
            ) from error


@opens_to(Permission.SEE_ANIMALS)
def growth_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what an animal's weighings say of its growth."""
    animal = get_object_or_404(Animal, pk=pk)
    units = units_of(person(request))
    form = MassForm(request.GET if "mass" in request.GET else None, unit=units.mass)
    mass_g = form.cleaned_data["mass"] if form.is_valid() else None
    growth = growth_of(animal=animal, at=timezone.now(), mass_g=mass_g).growth
    context = {
        "animal": animal,
        "growth": growth,
        "form": form,
        "wrong": [_wrong(found, units) for found in growth.assessments],
        "switched_off": [_kind(kind) for kind in growth.switched_off],
        "trend": growing.told_trend(growth, units),
        "comparison": growing.told_comparison(growth, units),
        "caution": growing.CAUTION if growing.needs_caution(growth) else "",
        "curves": growing.told_curves(growth, units),
        "projection": growing.told_projection(growth, units),
        "condition": growing.told_condition(growth),
        "band": tuple(_band_words(growth, units)),
        "weighings": [
            _weighed(w.on, w.age_days, w.mass_g, units)
            for w in reversed(growth.weighings)
        ],
        "mates": [
            MateRow(
                one.mate.id,
                one.mate.label,
                not one.mate.in_care,
                _weighed(
                    one.weighed.on, one.weighed.age_days, one.weighed.mass_g, units
                ),
            )
            for one in growth.among_mates.mates
        ],
        "conditions": list(_conditions(growth, units)),
    }
    return render(request, "staff/growth.html", context)


@opens_to(Permission.SEE_ANIMALS)
def growth_picture(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw how an animal grows."""
    animal = get_object_or_404(Animal, pk=pk)
    growth = growth_of(animal=animal, at=timezone.now()).growth
    chart = growth_chart(
        growth,
        units=units_of(person(request)),
        size=NARROW if request.GET.get("size") == "narrow" else WIDE,
    )
    return HttpResponse(
        svg(chart, dim=request.GET.get("light") == "dim"),
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )


def _wrong(found: Assessment, units: Units) -> Wrong:
    told = describe(found.kind, found.facts, units=units)
    given = found.provenance
    rests = names.word(given.source, given.standing) if given else ""
    why = f"{told.why} The limit rests on: {rests}." if rests else told.why
    return Wrong(found.urgency.value, told.what, told.first_step, why)


def _kind(kind: FindingKind) -> str:
    return kind.value.replace("_", " ")


def _weighed(
    on: date, age_days: int | None, mass_g: Decimal, units: Units
) -> WeighedRow:
    age = "not known" if age_days is None else numbers.days(age_days)
    return WeighedRow(day(on), age, numbers.mass(mass_g, units))


def _conditions(growth: Growth, units: Units) -> Iterator[ConditionRow]:
    for point in reversed(growth.conditions):
        measured, weighed = (
            at.astimezone(growth.zone).date()
            for at in (point.measured_at, point.weighed_at)
        )
        yield ConditionRow(
            day(measured),
            f"{point.snout_vent_cm} cm",
            f"{numbers.mass(point.mass_g, units)} on {day(weighed)}",
            f"{point.g_per_cm:.2f} g/cm",
        )


def _band_words(growth: Growth, units: Units) -> Iterator[str]:
    """Yield what the band behind the weights is, and on whose word it stands."""
    if growth.profile is None:
        return
    if growth.reference is not None:
        given = growth.reference.reference.provenance
        yield f"the 3rd to 97th centile ({_rests_on(given, growth.profile)})"
        return
    for stage in growth.profile.stages:
        row = next((b for b in growth.bands if b.from_days == stage.from_days), None)
        if row is not None:
            band = row.band
            low, high = (numbers.mass(g, units) for g in (band.low_g, band.high_g))
            rests = _rests_on(band.provenance, growth.profile)
            yield f"{stage.name.lower()} {low} to {high} ({rests})"


def _rests_on(given: Provenance, profile: Profile) -> str:
    said = names.WITHOUT_SOURCE.get((given.source, given.standing))
    return said or f"{title(given.source, profile)}; {names.STANDINGS[given.standing]}"
