"""Sexing by heels: one animal at a time, each look without knowing the others."""

from datetime import datetime
from http import HTTPStatus
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
)
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from clutches.actions.sexing import SpurCheckRow, record_spur_checks
from clutches.actions.sexing_photos import keep_photo
from clutches.models import SpurCheck
from clutches.queries.open_looks import open_looks
from clutches.queries.sexing import awaiting_look, looks_at
from clutches.rules.vocabulary import Heel
from core.errors import DomainError
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.queries.profiles import profiles_in_force
from husbandry.queries.stays import zone_of
from husbandry.rules.vocabulary import RowOutcome
from staff.doors import opens_to, person
from staff.heel_forms import HeelsForm
from staff.sex_ratios import ratio_section
from staff.sexing_words import has_mark, kept, markless, open_rows, why_wanted


@opens_to(Permission.SEE_ANIMALS)
def sexing(request: HttpRequest) -> HttpResponse:
    """Show whose heels this person is to look at, one animal opened."""
    return _page(request, code=request.GET.get("animal", ""))


@opens_to(Permission.RECORD_BREEDING)
@require_POST
def record_look(request: HttpRequest) -> HttpResponseBase:
    """Record one look, and go on to the next animal."""
    form = HeelsForm(request.POST, request.FILES)
    code = request.POST.get("animal", "")
    if not form.is_valid():
        return _page(request, code=code, form=form, status=HTTPStatus.BAD_REQUEST)
    reader, now, given = person(request), timezone.now(), form.cleaned_data
    row = SpurCheckRow(
        animal=given["animal"],
        at=now,
        left=Heel(given["left"]),
        right=Heel(given["right"]),
        note=given["note"],
    )
    (result,) = record_spur_checks(rows=[row], by=reader, recorded_at=now)
    if result.outcome is RowOutcome.REFUSED:
        form.add_error(None, ValidationError(result.sentence))
        return _page(request, code=code, form=form, status=HTTPStatus.CONFLICT)
    check = get_object_or_404(
        SpurCheck.objects.select_related("animal"), pk=result.record
    )
    zone = zone_of(animal=check.animal, at=now)
    told = kept(check.animal.code, check.left, check.right, now, zone)
    messages.success(request, told)
    for remark in result.remarks:
        messages.info(request, f"{check.animal}: {remark}")
    _keep_photo(request, check, given["photo"], reader, now)
    return redirect("staff:sexing")


def _keep_photo(
    request: HttpRequest, check: SpurCheck, data: bytes | None, by: User, at: datetime
) -> None:
    """Keep the photograph; without it the look stands all the same."""
    if data is None:
        return
    try:
        keep_photo(check=check, data=data, by=by, at=at)
    except DomainError as error:
        messages.error(request, f"The look is kept, without photo: {error.sentence}")


@opens_to(Permission.SEE_ANIMALS)
def heel_photo(request: HttpRequest, pk: int) -> FileResponse:  # noqa: ARG001 - a door
    """Hand out the photograph of a look."""
    check = get_object_or_404(SpurCheck, pk=pk)
    name = check.photo.name or ""
    if not name or not default_storage.exists(name):
        raise Http404("There is no photograph of this look.")
    return FileResponse(
        default_storage.open(name),
        content_type="image/jpeg",
        headers={
            "Cache-Control": "private, max-age=3600",
            "Content-Disposition": "inline",
            "X-Content-Type-Options": "nosniff",
        },
    )


def _page(
    request: HttpRequest,
    *,
    code: str,
    form: HeelsForm | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    reader, now = person(request), timezone.now()
    may = reader.may(Permission.RECORD_BREEDING)
    waiting = awaiting_look(reader=reader.pk, at=now)
    profiles = profiles_in_force(
        species_ids={animal.species_id for animal in waiting}, on=now.date()
    )
    wanted = [a for a in waiting if has_mark(profiles.get(a.species_id))]
    context: dict[str, Any] = {
        "may_record": may,
        "wanted": len(wanted),
        "open": open_rows(open_looks(at=now), blind_to=reader.pk if may else None),
        "markless": markless(waiting, profiles),
        **ratio_section(request, at=now),
        **(_chosen(wanted, code, form, reader) if may else {}),
    }
    return render(request, "staff/sexing.html", context, status=status)


def _chosen(
    wanted: list[Animal], code: str, form: HeelsForm | None, reader: User
) -> dict[str, Any]:
    """Return the animal that is opened and those beside it, each with the reason."""
    animal = _opened(wanted, code, answered=form is not None)
    shown = [*wanted, *([animal] if animal and animal not in wanted else [])]
    looks = looks_at(animal_ids=[one.pk for one in shown])
    why = {one.pk: why_wanted(looks.get(one.pk, ()), reader=reader.pk) for one in shown}
    code = animal.code if animal else ""
    return {
        "animal": animal,
        "why": why[animal.pk] if animal else "",
        "others": [(one, why[one.pk]) for one in wanted if one != animal],
        "form": form or HeelsForm(initial={"animal": code}),
    }


def _opened(wanted: list[Animal], code: str, *, answered: bool) -> Animal | None:
    """Return the animal that was asked for, or the first whose look is wanted.

    Raises:
        Http404: none has the code that was asked for.
    """
    if not code:
        return wanted[0] if wanted else None
    found = Animal.objects.filter(code=code).select_related("species").first()
    # An answer that names no animal is refused in words, beside what was typed.
    if found is None and not answered:
        raise Http404(f"There is no animal {code}.")
    return found
