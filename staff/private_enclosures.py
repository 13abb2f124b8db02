"""What a home does on its private page about the enclosure that it makes ready."""

from collections.abc import Callable
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from placements.actions.home_readings import add_readings, import_readings
from placements.actions.readiness import describe_enclosure
from placements.models import HomeEnclosure, PrivateAddress
from placements.queries.private_addresses import home_behind
from placements.rules.vocabulary import UnitSystem
from staff.home_forms import EnclosureForm
from staff.home_reading_forms import LoggerFileForm, ReadingForm
from staff.home_words import file_told, taken_told
from staff.private_doors import opens_by_address
from staff.private_enclosure_part import may_tell
from staff.private_homes import private_page, secret_of

Do = Callable[[], tuple[str, ...]]


@opens_by_address
@require_POST
def add_my_enclosure(request: HttpRequest, address: PrivateAddress) -> HttpResponseBase:
    """Describe another enclosure."""
    form = EnclosureForm(request.POST, system=_system(address), auto_id="id_new_%s")

    def do() -> tuple[str, ...]:
        made = describe_enclosure(
            home=home_behind(address),
            details=form.details(),
            by=None,
            at=timezone.now(),
        )
        return (f"Kept: {made.label}. Now measure in it for three days.",)

    return _answer(request, address, "new", form, form.refuse, do)


@opens_by_address
@require_POST
def describe_my_enclosure(
    request: HttpRequest, address: PrivateAddress, pk: int
) -> HttpResponseBase:
    """Describe an enclosure anew."""
    enclosure = _mine(address, pk)
    form = EnclosureForm(request.POST, system=_system(address), auto_id=f"id_d{pk}_%s")
    form.about = pk

    def do() -> tuple[str, ...]:
        describe_enclosure(
            home=enclosure.home,
            details=form.details(),
            enclosure=enclosure,
            by=None,
            at=timezone.now(),
        )
        return ("Kept.",)

    return _answer(request, address, "describe", form, form.refuse, do)


@opens_by_address
@require_POST
def read_my_enclosure(
    request: HttpRequest, address: PrivateAddress, pk: int
) -> HttpResponseBase:
    """Keep what instruments showed in an enclosure."""
    enclosure = _mine(address, pk)
    form = ReadingForm(request.POST, system=_system(address), auto_id=f"id_r{pk}_%s")
    form.about = pk

    def do() -> tuple[str, ...]:
        taken = add_readings(
            enclosure=enclosure,
            readings=form.readings(ZoneInfo(enclosure.time_zone)),
            by=None,
            at=timezone.now(),
        )
        for _, problem in taken.problems:
            form.add_error(None, problem)
        return (taken_told(taken),) if taken.stored or taken.known else ()

    return _answer(request, address, "reading", form, form.refuse, do)


@opens_by_address
@require_POST
def file_my_enclosure(
    request: HttpRequest, address: PrivateAddress, pk: int
) -> HttpResponseBase:
    """Take in the file of a logger that hung in an enclosure."""
    enclosure = _mine(address, pk)
    form = LoggerFileForm(request.POST, request.FILES, auto_id=f"id_f{pk}_%s")
    form.about = pk

    def do() -> tuple[str, ...]:
        read, taken = import_readings(
            enclosure=enclosure, **form.said(), by=None, at=timezone.now()
        )
        return file_told(read, taken)

    return _answer(request, address, "file", form, form.refuse, do)


def _mine(address: PrivateAddress, pk: int) -> HomeEnclosure:
    """Return an enclosure of the home whose page it is; of others nothing is told."""
    rows = HomeEnclosure.objects.filter(home=home_behind(address))
    return get_object_or_404(rows.select_related("home"), pk=pk)


def _system(address: PrivateAddress) -> UnitSystem:
    return UnitSystem(home_behind(address).units)


def _answer(
    request: HttpRequest,
    address: PrivateAddress,
    name: str,
    form: BaseForm,
    refuse: Callable[[DomainError], None],
    do: Do,
) -> HttpResponseBase:
    """Do what a form says and go back to the page, or show it with what is wrong."""
    if not may_tell(address):
        raise Http404("Nothing is made ready any more.")
    if form.is_valid():
        try:
            told = do()
        except DomainError as error:
            refuse(error)
        else:
            for sentence in told:
                messages.success(request, sentence)
    if form.errors:
        return private_page(
            request, address, kept={name: form}, status=HTTPStatus.BAD_REQUEST
        )
    return redirect("staff:private_home", secret_of(request))
