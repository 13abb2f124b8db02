"""A home's enclosure: how it compares with what an animal needs, and on whose word."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from core.models import User
from core.roles import Permission
from core.units import TemperatureUnit
from husbandry.models import Animal
from placements.actions.home_readings import add_readings, import_readings
from placements.actions.readiness import (
    choose_enclosure,
    describe_enclosure,
    review_readiness,
)
from placements.models import Home, HomeEnclosure, Placement
from placements.queries.home_enclosures import needs_of
from placements.rules.vocabulary import PlacementState, UnitSystem
from staff.doors import opens_to, person
from staff.home_forms import EnclosureForm, described
from staff.home_reading_forms import LoggerFileForm, ReadingForm
from staff.home_words import (
    enclosure_facts,
    file_told,
    judged_words,
    measured_spots,
    reviews_told,
    taken_told,
)


@dataclass(frozen=True, slots=True)
class Typed:
    """A form that was refused, with what was typed."""

    describe: BaseForm | None = None
    reading: BaseForm | None = None
    file: BaseForm | None = None


@opens_to(Permission.SEE_HOMES)
def home_enclosure(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a home's enclosure, judged for the animal that is to come or was named."""
    return _page(request, _enclosure(pk))


@opens_to(Permission.MANAGE_PLACEMENTS)
def new_home_enclosure(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Describe an enclosure that a home has told of."""
    home = get_object_or_404(Home, pk=pk)
    system = system_of(person(request))
    if request.method != "POST":
        return _new(request, home, EnclosureForm(system=system))
    form = EnclosureForm(request.POST, system=system)
    if form.is_valid():
        try:
            made = describe_enclosure(
                home=home,
                details=form.details(),
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            messages.success(request, f"Kept: {made.label}.")
            return redirect("staff:home_enclosure", made.pk)
    return _new(request, home, form, status=HTTPStatus.BAD_REQUEST)


def _new(
    request: HttpRequest,
    home: Home,
    form: EnclosureForm,
    *,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    context = {"home": home, "form": form}
    return render(request, "staff/new_home_enclosure.html", context, status=status)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def describe_home_enclosure(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Describe an enclosure anew."""
    enclosure = _enclosure(pk)
    form = EnclosureForm(request.POST, system=system_of(person(request)))
    if form.is_valid():
        try:
            describe_enclosure(
                home=enclosure.home,
                details=form.details(),
                enclosure=enclosure,
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            messages.success(request, "Kept. It has to be judged anew.")
            return _back(request, pk)
    return _page(request, _enclosure(pk), typed=Typed(describe=form))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def read_home_enclosure(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Keep what instruments showed in an enclosure."""
    enclosure = _enclosure(pk)
    form = ReadingForm(request.POST, system=system_of(person(request)))
    if form.is_valid():
        try:
            taken = add_readings(
                enclosure=enclosure,
                readings=form.readings(ZoneInfo(enclosure.time_zone)),
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            for _, problem in taken.problems:
                form.add_error(None, problem)
            if taken.stored or taken.known:
                messages.success(request, taken_told(taken))
        if not form.errors:
            return _back(request, pk)
    return _page(request, enclosure, typed=Typed(reading=form))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def file_home_enclosure(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Take in the file of a logger that hung in an enclosure."""
    enclosure = _enclosure(pk)
    form = LoggerFileForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            read, taken = import_readings(
                enclosure=enclosure,
                **form.said(),
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            for sentence in file_told(read, taken):
                messages.success(request, sentence)
            return _back(request, pk)
    return _page(request, enclosure, typed=Typed(file=form))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def review_home_enclosure(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Put on record how an enclosure compares for an animal."""
    enclosure, now = _enclosure(pk), timezone.now()
    animal = get_object_or_404(
        Animal.objects.select_related("species"), code=request.POST.get("animal", "")
    )
    review = review_readiness(
        enclosure=enclosure,
        animal=animal,
        on=timezone.localdate(now),
        by=person(request),
        at=now,
    )
    words = review.outcome.replace("_", " ")
    messages.success(request, f"On record for {animal}: {words}.")
    return _back(request, pk)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def choose_home_enclosure(
    request: HttpRequest, pk: int, placement_pk: int
) -> HttpResponseBase:
    """Say that an animal is to live in an enclosure."""
    enclosure = _enclosure(pk)
    placement = get_object_or_404(
        Placement.objects.select_related("animal"), pk=placement_pk
    )
    try:
        choose_enclosure(
            placement=placement,
            enclosure=enclosure,
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"{placement.animal} is to live here.")
    return redirect("staff:home_enclosure", pk)


def _enclosure(pk: int) -> HomeEnclosure:
    return get_object_or_404(HomeEnclosure.objects.select_related("home"), pk=pk)


def _back(request: HttpRequest, pk: int) -> HttpResponseBase:
    address = reverse("staff:home_enclosure", args=[pk])
    code = request.POST.get("animal", "")
    known = Animal.objects.filter(code=code).exists()
    return redirect(f"{address}?animal={code}" if known else address)


def system_of(reader: User) -> UnitSystem:
    """Return the units in which a person reads lengths and temperatures."""
    fahrenheit = reader.temperature_unit == TemperatureUnit.F.value
    return UnitSystem.IMPERIAL if fahrenheit else UnitSystem.METRIC


def _animal(request: HttpRequest, enclosure: HomeEnclosure) -> Animal | None:
    """Return for whom an enclosure is judged: who was named, else who is to come."""
    code = request.GET.get("animal") or request.POST.get("animal") or ""
    if code:
        return Animal.objects.select_related("species").filter(code=code).first()
    placement = (
        Placement.objects.filter(home=enclosure.home)
        .exclude(state=PlacementState.CALLED_OFF.value)
        .select_related("animal__species")
        .order_by("-planned_on", "-pk")
        .first()
    )
    return placement.animal if placement else None


def _page(
    request: HttpRequest, enclosure: HomeEnclosure, *, typed: Typed | None = None
) -> HttpResponse:
    reader, now = person(request), timezone.now()
    system, animal = system_of(reader), _animal(request, enclosure)
    typed = typed or Typed()
    needs = (
        needs_of(animal=animal, on=timezone.localdate(now), at=now) if animal else None
    )
    reviews = enclosure.reviews.select_related("animal", "species", "judged_by")
    context: dict[str, Any] = {
        "enclosure": enclosure,
        "animal": animal,
        "asked": request.GET.get("animal", ""),
        "facts": enclosure_facts(enclosure, system),
        "ready": judged_words(enclosure, needs, system, at=now) if needs else None,
        "spots": measured_spots(enclosure),
        "planned": enclosure.home.placements.filter(
            state=PlacementState.PLANNED.value
        ).select_related("animal"),
        "reviews": reviews_told(reviews[:12], enclosure),
        "describe": typed.describe
        or EnclosureForm(
            initial=described(enclosure, system), system=system, auto_id="id_d_%s"
        ),
        "reading": typed.reading or ReadingForm(system=system, auto_id="id_r_%s"),
        "file": typed.file or LoggerFileForm(auto_id="id_f_%s"),
        "typed": typed,
        "read_at": reverse("staff:read_home_enclosure", args=[enclosure.pk]),
        "file_at": reverse("staff:file_home_enclosure", args=[enclosure.pk]),
        "may_write": reader.may(Permission.MANAGE_PLACEMENTS),
    }
    refused = any((typed.describe, typed.reading, typed.file))
    status = HTTPStatus.BAD_REQUEST if refused else HTTPStatus.OK
    return render(request, "staff/home_enclosure.html", context, status=status)
