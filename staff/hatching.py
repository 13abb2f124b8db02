"""Record a hatching: the young of chosen eggs, weighed, housed and looked at."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone

from clutches.actions.hatching import HatchlingRow, hatch_box
from clutches.models import EggBox, Hatchling
from clutches.queries.eggs import egg_name
from clutches.queries.grids import eggs_at
from clutches.queries.hatch_sheets import Home, LyingEgg, homes, lying_eggs, named_eggs
from core.errors import DomainError
from core.roles import Permission
from husbandry.models import Enclosure
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from staff.doors import opens_to, person
from staff.hatch_forms import NOWHERE, HatchForm, HatchlingForm
from staff.sexing_words import has_mark
from staff.units import count, day, units_of


@dataclass(frozen=True, slots=True)
class Block:
    """One egg with its form; and what was refused of it, a sentence each."""

    egg: LyingEgg
    name: str
    form: HatchlingForm
    refused: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that is typed at once, and what it is held to."""

    box: EggBox
    common: HatchForm
    blocks: tuple[Block, ...]
    homes: tuple[Home, ...]
    band: IncubationRule | None
    has_mark: bool

    @property
    def is_valid(self) -> bool:
        """Return whether everything can be read; every form is asked."""
        return all([self.common.is_valid(), *(b.form.is_valid() for b in self.blocks)])


@opens_to(Permission.RECORD_BREEDING)
def hatching(request: HttpRequest, code: str) -> HttpResponseBase:
    """Ask which eggs hatched, then for their young, and record all at once."""
    box = get_object_or_404(EggBox, code=code)
    if request.method == "POST":
        return _record(request, box)
    chosen, wrong = _chosen(request, box)
    if not chosen:
        return _choose(request, box, wrong)
    return _page(request, _sheet(request, box, chosen))


def _chosen(request: HttpRequest, box: EggBox) -> tuple[list[LyingEgg], str]:
    """Return the living eggs of the box that were tapped or whose places are named."""
    lying = lying_eggs(box=box)
    keys = _keys(request.GET.getlist("egg"))
    places = request.GET.get("places", "")
    wrong = ""
    if places.strip():
        try:
            keys |= {egg.pk for egg in eggs_at(box=box, places=places)}
        except DomainError as error:
            return [], error.sentence
    elif "places" in request.GET and not keys:
        wrong = "No egg is chosen: tap some, or name places."
    return [one for one in lying if one.egg.pk in keys], wrong


def _keys(typed: Sequence[str]) -> set[int]:
    return {int(key) for key in typed if key.isdecimal() and len(key) < 19}


def _choose(request: HttpRequest, box: EggBox, wrong: str) -> HttpResponse:
    context = {
        "box": box,
        "eggs": [(one, egg_name(one.egg)) for one in lying_eggs(box=box)],
        "ticked": _keys(request.GET.getlist("egg")),
        "places": request.GET.get("places", ""),
        "wrong": wrong,
    }
    status = HTTPStatus.BAD_REQUEST if wrong else HTTPStatus.OK
    return render(request, "staff/hatching_eggs.html", context, status=status)


def _sheet(request: HttpRequest, box: EggBox, eggs: Sequence[LyingEgg]) -> Sheet:
    """Return the forms for some eggs, at least one, with what was typed."""
    clutch = eggs[0].egg.clutch
    zone = ZoneInfo(clutch.site.time_zone)
    today = timezone.localdate(timezone=zone)
    found = profile_in_force(species_id=clutch.species_id, on=today)
    matter = IncubationMatter.HATCHLING_MASS_G
    band = incubation_for(found.profile, matter) if found else None
    places = tuple(homes(site=clutch.site))
    unit = units_of(person(request)).mass
    data = request.POST if request.method == "POST" else None
    return Sheet(
        box=box,
        common=HatchForm(
            data, homes=places, initial={"on": request.GET.get("on") or today}
        ),
        blocks=tuple(
            Block(
                one,
                egg_name(one.egg),
                HatchlingForm(
                    data, prefix=f"e{one.egg.pk}", unit=unit, band=band, homes=places
                ),
            )
            for one in eggs
        ),
        homes=places,
        band=band,
        has_mark=has_mark(found),
    )


def _record(request: HttpRequest, box: EggBox) -> HttpResponseBase:
    eggs = named_eggs(box=box, keys=_keys(request.POST.getlist("egg")))
    if not eggs:
        messages.error(request, "No egg is chosen: tap some, or name places.")
        return redirect("staff:hatching", box.code)
    sheet = _sheet(request, box, eggs)
    if not sheet.is_valid:
        return _page(request, sheet, status=HTTPStatus.BAD_REQUEST)
    on: date = sheet.common.cleaned_data["on"]
    try:
        hatched = hatch_box(
            box=box,
            hatched_on=on,
            rows=_rows(sheet),
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        return _refused(request, sheet, error)
    messages.success(request, _told(hatched.young, on))
    for remark in hatched.remarks:
        messages.info(request, remark)
    return redirect("staff:egg_box", box.code)


def _rows(sheet: Sheet) -> list[HatchlingRow]:
    for_all: str = sheet.common.cleaned_data["enclosure"]
    wanted = [b.form.cleaned_data["enclosure"] or for_all for b in sheet.blocks]
    known = Enclosure.objects.in_bulk({int(k) for k in wanted if k.isdecimal()})
    return [
        HatchlingRow(
            egg=block.egg.egg,
            code=block.form.cleaned_data["code"],
            mass_g=block.form.cleaned_data["mass_g"],
            confirmed=block.form.cleaned_data["confirmed"],
            enclosure=None if to in {"", NOWHERE} else known[int(to)],
            heels=block.form.looked if sheet.has_mark else None,
        )
        for block, to in zip(sheet.blocks, wanted, strict=True)
    ]


def _refused(request: HttpRequest, sheet: Sheet, error: DomainError) -> HttpResponse:
    """Say each thing at the top, and again beside the egg that it names."""
    lines = error.sentence.splitlines()
    sheet.common.add_error(None, ValidationError(lines))
    blocks = tuple(
        Block(b.egg, b.name, b.form, tuple(t for t in lines if _names(t, b.name)))
        for b in sheet.blocks
    )
    told = Sheet(
        sheet.box, sheet.common, blocks, sheet.homes, sheet.band, sheet.has_mark
    )
    return _page(request, told, status=HTTPStatus.CONFLICT)


def _names(sentence: str, name: str) -> bool:
    """Return whether a sentence is about an egg; egg 1 is not egg 11."""
    pattern = rf"(?<!\w){re.escape(name)}(?![\w-])"
    return re.search(pattern, sentence, re.IGNORECASE) is not None


def _told(young: Sequence[Hatchling], on: date) -> str:
    """Return what hatched, with ways onward; it is written into the page as it is."""
    context = {
        "young": young,
        "many": f"{count(len(young), 'egg')} hatched on {day(on)}",
        "clutches": sorted({one.clutch.code for one in young}),
    }
    return render_to_string("staff/parts/hatched.html", context)


def _page(
    request: HttpRequest, sheet: Sheet, *, status: int = HTTPStatus.OK
) -> HttpResponse:
    units = units_of(person(request))
    context = {
        "sheet": sheet,
        "box": sheet.box,
        "plausible": _plausible(sheet.band, units),
    }
    return render(request, "staff/hatching.html", context, status=status)


def _plausible(band: IncubationRule | None, units: Units) -> str:
    if band is None or band.low is None or band.high is None:
        return "The care profile does not say what a hatchling weighs."
    low, high = (numbers.mass(grams, units) for grams in (band.low, band.high))
    return (
        f"{low} to {high} is plausible; anything else has to be weighed again and "
        "confirmed."
    )
