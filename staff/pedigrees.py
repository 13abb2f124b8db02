"""Whom an animal descends from: a drawing, the same as a list, and its young."""

from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from clutches.queries.pedigrees import Pedigree, YoungLine, pedigree_of, young_of
from clutches.rules.pedigrees.ancestry import (
    MOST_GENERATIONS,
    USUAL_GENERATIONS,
    Place,
)
from clutches.rules.pedigrees.drawing import draw_pedigree, size_of
from clutches.rules.pedigrees.words import (
    SEXES,
    told_hatched,
    told_inbreeding,
    told_path,
    told_share,
)
from core.roles import Permission
from husbandry.models import Animal
from staff.charting import dimmed
from staff.doors import opens_to
from staff.units import day

MOST_YOUNG = 60


@dataclass(frozen=True, slots=True)
class AncestorRow:
    """One place of the pedigree in the list below the drawing."""

    path: str
    id: int | None
    label: str
    sex: str
    hatched: str
    mark: str
    candidates: tuple[tuple[int, str, str], ...]
    missing: str


@dataclass(frozen=True, slots=True)
class YoungRow:
    """One of its young in the list."""

    id: int
    label: str
    sex: str
    hatched: str
    other: str
    share: str
    status: str


class GenerationsForm(forms.Form):
    """How many generations are shown."""

    generations = forms.TypedChoiceField(
        coerce=int,
        choices=[(n, str(n)) for n in range(1, MOST_GENERATIONS + 1)],
        label="Generations",
    )


@opens_to(Permission.SEE_ANIMALS)
def pedigree_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an animal's ancestors and its young."""
    animal = get_object_or_404(Animal, pk=pk)
    generations, form = _generations(request)
    found = pedigree_of(animal_id=animal.pk, generations=generations)
    young, many = young_of(animal_id=animal.pk, most=MOST_YOUNG)
    width, height = size_of(found.places, found.inbreeding)
    context = {
        "animal": animal,
        "form": form,
        "generations": generations,
        "width": width,
        "height": height,
        "inbreeding": told_inbreeding(found.inbreeding),
        "at_least": found.inbreeding.at_least,
        "ancestors": [_ancestor(place) for place in found.places[1:]],
        "missing": _missing(found),
        "young": [_young(one) for one in young],
        "more": many - len(young),
    }
    return render(request, "staff/pedigree.html", context)


@opens_to(Permission.SEE_ANIMALS)
def pedigree_picture(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw an animal's ancestors."""
    animal = get_object_or_404(Animal, pk=pk)
    generations, _ = _generations(request)
    found = pedigree_of(animal_id=animal.pk, generations=generations)
    drawn = draw_pedigree(found.places, found.inbreeding)
    return HttpResponse(
        dimmed(drawn) if request.GET.get("light") == "dim" else drawn,
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )


def _generations(request: HttpRequest) -> tuple[int, GenerationsForm]:
    """Return how many generations are asked for, and the form that asks."""
    given = {"generations": request.GET.get("generations", USUAL_GENERATIONS)}
    form = GenerationsForm(given)
    if form.is_valid():
        return form.cleaned_data["generations"], form
    return USUAL_GENERATIONS, form


def _missing(found: Pedigree) -> int:
    """Return how many parents in the drawing are not known."""
    return sum(not place.kin and not place.candidates for place in found.places)


def _ancestor(place: Place) -> AncestorRow:
    kin = place.kin
    return AncestorRow(
        path=told_path(place.path),
        id=kin.id if kin else None,
        label=kin.label if kin else "",
        sex=SEXES[kin.sex] if kin else "",
        hatched=told_hatched(kin) if kin else "",
        mark=place.mark,
        candidates=tuple(
            (one.kin.id, one.kin.label, told_share(one.probability))
            for one in place.candidates
        ),
        missing=told_share(place.missing) if place.candidates and place.missing else "",
    )


def _young(one: YoungLine) -> YoungRow:
    certain = one.probability == 1
    return YoungRow(
        id=one.id,
        label=one.label,
        sex=SEXES[one.sex],
        hatched=day(one.hatched_on) if one.hatched_on else "not known",
        other=one.other or "not known",
        share="" if certain else f"perhaps ({told_share(one.probability)})",
        status=one.status.value.replace("_", " "),
    )
