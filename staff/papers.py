"""Papers of animals and of keeping species: which run out, record one, withdraw one."""

from collections.abc import Callable
from datetime import date, timedelta
from http import HTTPStatus

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from core.admin import DayField
from core.choices import choices
from core.errors import DomainError
from core.photographs import LARGEST_BYTES, check_bytes
from core.roles import Permission
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import Origin
from placements.actions.papers import keep_paper_photo, record_paper, withdraw_paper
from placements.models import AnimalPaper
from placements.queries.figures import latest_day
from placements.rules.papers.assessing import WATCHED_DAYS
from placements.rules.papers.cites import remarks_on
from placements.rules.vocabulary import CitesSource, PaperKind
from staff.doors import opens_to, person
from staff.refusals import refuse
from staff.units import count

MOST = 200
SOON = timedelta(days=WATCHED_DAYS)


def _day(label: str, *, told: str) -> DayField:
    return DayField(label=label, required=False, help_text=told)


class PaperForm(forms.Form):
    """A paper, as it is printed."""

    kind = forms.ChoiceField(label="What it is", choices=choices(PaperKind))
    animal = forms.ModelChoiceField(
        Animal.objects.order_by("code"),
        to_field_name="code",
        required=False,
        widget=forms.TextInput,
        label="Code of the animal",
        help_text="Or else a species.",
    )
    species = forms.ModelChoiceField(
        Species.objects.order_by("common_name"),
        to_field_name="code",
        required=False,
        empty_label="no species",
    )
    number = forms.CharField(max_length=60)
    cites_source = forms.ChoiceField(
        label="CITES source",
        choices=[("", "none named"), *choices(CitesSource)],
        required=False,
        help_text="The letter on a CITES permit or certificate.",
    )
    issued_by = forms.CharField(max_length=160)
    issued_on = _day("Issued on", told="Empty: not known.")
    valid_until = _day("Last day", told="Empty: it does not end.")


class WithdrawForm(forms.Form):
    """Why a paper holds no more."""

    reason = forms.CharField(max_length=200, label="Withdraw it, because")


class PhotoForm(forms.Form):
    """A photograph of a paper."""

    photo = forms.FileField(
        label="Photograph",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png"}),
        error_messages={"required": "Choose a photograph first."},
    )


@opens_to(Permission.RECORD_INTAKE)
def papers(request: HttpRequest) -> HttpResponseBase:
    """Show the papers that hold, those that run out first; record another."""
    if request.method != "POST":
        return _page(request, PaperForm())
    form = PaperForm(request.POST)

    def do() -> None:
        given = dict(form.cleaned_data)
        source = given.pop("cites_source")
        record_paper(
            **given | {"kind": PaperKind(given["kind"])},
            cites_source=CitesSource(source) if source else None,
            by=person(request),
            at=timezone.now(),
        )

    if not _did(form, do):
        return _page(request, form, status=HTTPStatus.BAD_REQUEST)
    messages.success(request, "The paper is on record.")
    return redirect("staff:papers")


@opens_to(Permission.RECORD_INTAKE)
@require_safe
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one paper, to photograph or withdraw it."""
    row = get_object_or_404(AnimalPaper, pk=pk)
    return _one(request, row, PhotoForm(), WithdrawForm())


@opens_to(Permission.RECORD_INTAKE)
@require_POST
def withdraw_one_paper(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Withdraw a paper; it stays on record."""
    row, form = get_object_or_404(AnimalPaper, pk=pk), WithdrawForm(request.POST)

    def do() -> None:
        reason = form.cleaned_data["reason"]
        withdraw_paper(paper=row, reason=reason, by=person(request), at=timezone.now())

    if not _did(form, do):
        return _one(request, row, PhotoForm(), form, status=HTTPStatus.BAD_REQUEST)
    messages.success(request, "The paper is withdrawn.")
    return redirect("staff:papers")


@opens_to(Permission.RECORD_INTAKE)
@require_POST
def photograph_paper(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Keep a photograph of a paper."""
    row = get_object_or_404(AnimalPaper, pk=pk)
    form = PhotoForm(request.POST, request.FILES)

    def do() -> None:
        file = form.cleaned_data["photo"]
        check_bytes(file.size or 0)
        data, at = file.read(LARGEST_BYTES), timezone.now()
        keep_paper_photo(paper=row, data=data, by=person(request), at=at)

    if not _did(form, do):
        return _one(request, row, form, WithdrawForm(), status=HTTPStatus.BAD_REQUEST)
    messages.success(request, "The photograph is kept.")
    return redirect("staff:papers")


def _did(form: forms.Form, do: Callable[[], None]) -> bool:
    """Do what was typed; False: what is wrong stands beside its field."""
    if not form.is_valid():
        return False
    try:
        do()
    except DomainError as error:
        refuse(form, error)
        return False
    return True


def _page(request: HttpRequest, form: PaperForm, *, status: int = 200) -> HttpResponse:
    on = latest_day(timezone.now())
    held = AnimalPaper.objects.filter(withdrawn_at__isnull=True)
    held = held.select_related("animal", "species")
    ends = held.filter(valid_until__isnull=False).order_by("valid_until", "pk")
    lasting = held.filter(valid_until__isnull=True).order_by("-recorded_at", "pk")
    rows = [(row, _ends(row.valid_until, on)) for row in ends[:MOST]]
    context = {"form": form, "rows": rows, "lasting": lasting[:MOST], "most": MOST}
    return render(request, "staff/papers.html", context, status=status)


def _ends(last_on: date | None, on: date) -> str:
    if last_on is None:
        return ""
    if last_on < on:
        return f"ended {count((on - last_on).days, 'day')} ago"
    left = f"{count((last_on - on).days, 'day')} left"
    return f"{left}: renew it" if last_on - on <= SOON else left


def _one(
    request: HttpRequest,
    row: AnimalPaper,
    photo: PhotoForm,
    withdraw: WithdrawForm,
    *,
    status: int = 200,
) -> HttpResponse:
    context = {
        "row": row,
        "photo": photo,
        "withdraw": withdraw,
        "remarks": _remarks(row),
    }
    return render(request, "staff/paper.html", context, status=status)


def _remarks(row: AnimalPaper) -> tuple[str, ...]:
    about = row.animal.species if row.animal else row.species
    return remarks_on(
        CitesSource(row.cites_source) if row.cites_source else None,
        scientific_name=about.scientific_name if about else "",
        origin=Origin(row.animal.origin) if row.animal else None,
    )
