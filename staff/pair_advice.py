"""Which pairs there could be: every one of them, the least against it first."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from clutches.queries.advice import PairAdvice, pair_advice
from clutches.queries.collections import CollectionFigures
from clutches.rules.advice.telling import share, tell_reason
from clutches.rules.advice.values import AdvisedPair, Breeder, Reason
from core.errors import DomainError
from core.models import Site
from core.roles import Permission
from husbandry.models import Animal, Species
from husbandry.rules.profiles.values import Profile
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision
from staff.doors import opens_to, person
from staff.sourced import title
from staff.units import count, day, units_of

ON_A_PAGE = 25
IN_CARE = AnimalStatus.IN_CARE.value


@dataclass(frozen=True, slots=True)
class Against:
    """One reason in words, and on whose word its limit stands; may be empty."""

    what: str
    rests: str


@dataclass(frozen=True, slots=True)
class PairRow:
    """One pair in words."""

    rank: int
    female: Breeder
    male: Breeder
    inbreeding: str
    mean_kinship: str
    of_female: str
    of_male: str
    last_clutch: str
    against: tuple[Against, ...]


@dataclass(frozen=True, slots=True)
class KinshipRow:
    """One animal's mean kinship."""

    breeder: Breeder
    mean_kinship: str


class PairsForm(forms.Form):
    """Of which species, and which animals of it."""

    species = forms.ModelChoiceField(
        Species.objects.none(), to_field_name="code", empty_label=None
    )
    animal = forms.CharField(
        label="Only pairs of (code)",
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    site = forms.ModelChoiceField(
        Site.objects.order_by("name", "pk"),
        label="Who live at",
        to_field_name="code",
        required=False,
        empty_label="any site",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer the species of animals in care."""
        super().__init__(*args, **kwargs)
        kept = Animal.objects.filter(status=IN_CARE).values("species")
        field = self.fields["species"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - see above
        field.queryset = Species.objects.filter(pk__in=kept).order_by("common_name")

    def clean_animal(self) -> Animal | None:
        """Return the animal, or None where all are meant."""
        code = self.cleaned_data["animal"]
        if not code:
            return None
        animal = Animal.objects.filter(code=code, status=IN_CARE).first()
        if animal is None:
            raise ValidationError(
                f"No animal in care has the code “{code}”. Give the code on its label."
            )
        return animal

    def clean(self) -> dict[str, Any]:
        """Refuse an animal of another species than the one chosen."""
        given = self.cleaned_data
        animal, species = given.get("animal"), given.get("species")
        if animal and species and animal.species_id != species.pk:
            self.add_error(
                "animal", f"{animal} is of another species: {animal.species}."
            )
        return given


@opens_to(Permission.SEE_ANIMALS)
def pairs(request: HttpRequest) -> HttpResponse:
    """Show every pair there could be, with what speaks against it."""
    form = PairsForm(_asked(request.GET))
    context: dict[str, Any] = {"form": form, "refused": ""}
    if form.fields["species"].queryset.exists() and form.is_valid():  # type: ignore[attr-defined] # a choice of rows
        given, now = form.cleaned_data, timezone.now()
        site = given["site"]
        zone = ZoneInfo(site.time_zone) if site else timezone.get_default_timezone()
        try:
            found = pair_advice(
                species=given["species"],
                on=now.astimezone(zone).date(),
                at=now,
                site=site,
                animal=given["animal"],
            )
        except DomainError as error:
            context["refused"] = error.sentence
        else:
            units = units_of(person(request))
            context |= _told(found, units, _rank(request.GET.get("from", "")))
    return render(request, "staff/pairs.html", context)


def _asked(given: Mapping[str, str]) -> dict[str, str]:
    """Return what was asked; without a species, the first that is in care."""
    asked = {name: given.get(name, "") for name in ("species", "animal", "site")}
    if not asked["species"]:
        kept = Animal.objects.filter(status=IN_CARE)
        named = kept.filter(code=asked["animal"].strip())
        first = (named or kept.order_by("species__common_name")).values_list(
            "species__code", flat=True
        )[:1]
        asked["species"] = next(iter(first), "")
    return asked


def _rank(text: str) -> int:
    """Return the rank to begin with; what is no number begins with the first."""
    digits = text.isascii() and text.isdigit() and len(text) < 10
    return max(int(text), 1) if digits else 1


def _told(found: PairAdvice, units: Units, first: int) -> dict[str, Any]:
    advice, profile = found.advice, found.version.profile if found.version else None
    after = first - 1 + ON_A_PAGE
    shown = advice.pairs(first - 1, after)
    return {
        "found": found,
        "collection": _collection(found.collection),
        "not_judged": [matter.replace("_", " ") for matter in advice.unsaid],
        "rows": [
            _row(rank, pair, units, profile)
            for rank, pair in enumerate(shown, start=first)
        ],
        "all": count(len(advice), "pair"),
        "further": after + 1 if after < len(advice) else None,
        "before": max(first - ON_A_PAGE, 1) if first > 1 else None,
        "kinships": list(_kinships(found)),
    }


def _collection(figures: CollectionFigures) -> str:
    if figures.mean_kinship is None:
        return ""
    bounded = (
        f" For {figures.bounded} of them a parent is missing somewhere in the "
        "ancestry; unknown parents count as unrelated, so kinship may be higher, and "
        "diversity lower, than this says."
        if figures.bounded
        else ""
    )
    return (
        f"{count(figures.animals, 'animal')} of the species in care: mean kinship "
        f"{share(figures.mean_kinship)}, gene diversity "
        f"{share(figures.gene_diversity)}, as much as "
        f"{figures.founder_genome_equivalents:.1f} unrelated founders hold.{bounded}"
    )


def _row(
    rank: int, pair: AdvisedPair, units: Units, profile: Profile | None
) -> PairRow:
    least = "at least " if pair.lower_bound else ""
    labels = {one.animal.id: one.animal.label for one in (pair.female, pair.male)}
    return PairRow(
        rank=rank,
        female=pair.female,
        male=pair.male,
        inbreeding=f"{least}{share(pair.inbreeding)}",
        mean_kinship=f"{least}{share(pair.mean_kinship)}",
        of_female=_of(pair.female, pair.female_age_days, units),
        of_male=_of(pair.male, pair.male_age_days, units),
        last_clutch=_last_clutch(pair),
        against=tuple(
            Against(
                tell_reason(one, label=labels.get(one.animal, ""), units=units),
                _rests(one, profile),
            )
            for one in pair.reasons
        ),
    )


def _of(one: Breeder, age_days: int | None, units: Units) -> str:
    """Return age and last weight of one animal."""
    age = "age not known"
    if age_days is not None:
        exact = one.animal.hatched_precision is DatePrecision.DAY
        age = f"{'' if exact else 'at least '}{numbers.days(age_days)} old"
    if one.mass_g is None:
        return f"{age}, never weighed"
    weighed = f" on {_day(one.weighed_on)}" if one.weighed_on else ""
    return f"{age}, {numbers.mass(one.mass_g, units)}{weighed}"


def _last_clutch(pair: AdvisedPair) -> str:
    if pair.female_rest_days is None:
        return "none on record"
    return (
        f"{_day(pair.female.laid_on)}, {numbers.days(pair.female_rest_days)} ago; "
        f"{count(pair.female.clutches, 'clutch', 'clutches')} in twelve months"
    )


def _rests(reason: Reason, profile: Profile | None) -> str:
    given = reason.provenance
    if given is None:
        return ""
    said = names.word(given.source, given.standing)
    known = profile is not None and any(s.key == given.source for s in profile.sources)
    if profile is not None and known and said.startswith(given.source):
        return f"{title(given.source, profile)}; {names.STANDINGS[given.standing]}"
    return said


def _kinships(found: PairAdvice) -> Iterator[KinshipRow]:
    """Yield the animals that were paired, the lowest mean kinship first."""
    advice = found.advice
    of_all = [
        *zip(advice.females, advice.kin.female_means.tolist(), strict=True),
        *zip(advice.males, advice.kin.male_means.tolist(), strict=True),
    ]
    for one, mean in sorted(
        of_all, key=lambda pair: (round(pair[1], 10), pair[0].code)
    ):
        yield KinshipRow(one, share(Decimal(str(mean))))


def _day(on: date | None) -> str:
    return day(on) if on else ""
