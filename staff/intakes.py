"""Deliveries as a list, one of them, and one animal as it was when it came."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from core.models import User
from core.roles import Permission
from husbandry.models import Observation
from husbandry.queries.animals import care_by_animal
from husbandry.rules.profiles.values import WarningSign
from husbandry.rules.vocabulary import AnimalStatus, ObservationKind
from placements.models import Arrival, Intake, IntakePhoto
from placements.queries.arrivals import arrivals as all_arrivals
from placements.queries.arrivals import exams, intakes
from placements.queries.holds import hold_of
from placements.queries.intakes import by_code_or_chip
from placements.rules.exams import CAUTION
from placements.rules.holds import LOCAL_LAW
from placements.rules.intake_cautions import CAUTIONS, HANDS
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)
from staff.doors import opens_to, person
from staff.evidence import Row
from staff.exam_forms import ExamForm, HoldForm, LiftForm, PhotoForm, SettleForm
from staff.intake_words import CONDITIONS, OUTCOMES, SCANS, SOURCES, SYSTEMS
from staff.units import clock, count, day

ON_A_PAGE = 50


@opens_to(Permission.RECORD_INTAKE)
def arrivals(request: HttpRequest) -> HttpResponse:
    """List the deliveries, newest first, and look up an animal by code or chip."""
    text, number = request.GET.get("find", "").strip(), request.GET.get("page", "1")
    page = int(number) if number.isdecimal() and 0 < len(number) < 6 else 1
    start = max(page - 1, 0) * ON_A_PAGE
    found = all_arrivals().order_by("-arrived_at", "-pk")
    rows = list(found[start : start + ON_A_PAGE + 1])
    known = by_code_or_chip(text) if text else None
    context = {
        "rows": [(row, _line(row)) for row in rows[:ON_A_PAGE]],
        "older": page + 1 if len(rows) > ON_A_PAGE else 0,
        "find": text,
        "known": known,
        "may_come": known is not None
        and known.status not in (AnimalStatus.IN_CARE, AnimalStatus.DEAD),
    }
    return render(request, "staff/arrivals.html", context)


def _line(row: Arrival) -> str:
    came = clock(row.arrived_at, ZoneInfo(row.site.time_zone))
    animals = count(len(row.intakes.all()), "animal")
    return f"{came}: {animals}, {SOURCES[IntakeSource(row.source)]}"


@opens_to(Permission.RECORD_INTAKE)
def arrival(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one delivery with its animals."""
    return arrival_page(request, pk)


def arrival_page(
    request: HttpRequest,
    pk: int,
    *,
    form: HoldForm | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    """Show one delivery, with what was typed and refused of its hold."""
    row, reader = get_object_or_404(all_arrivals(), pk=pk), person(request)
    context = {
        "row": row,
        "line": _line(row),
        "facts": _arrival_facts(row, reader),
        "animals": [(one, _short(one)) for one in row.intakes.all()],
        "form": form or HoldForm(),
        "may_hold": reader.may(Permission.OPEN_GATES),
        "law": LOCAL_LAW,
        "cautions": CAUTIONS,
    }
    return render(request, "staff/arrival.html", context, status=status)


def _arrival_facts(row: Arrival, reader: User) -> list[Row]:
    hold = f"{day(row.hold_until)}: {row.hold_reason}" if row.hold_until else "no hold"
    facts = [
        Row("Where", row.site.name),
        Row("Held until the end of", hold),
        Row("What came with them", row.came_with or "nothing noted"),
        Row("Recorded by", str(row.recorded_by or "the program")),
    ]
    if reader.may(Permission.SEE_HOMES):
        facts += [
            Row("From whom", str(row.home or "nobody is known")),
            Row("Found at", row.found_at or "—"),
            Row("Note", row.note or "—"),
        ]
    return facts


def _short(row: Intake) -> str:
    sure = "" if row.species_sure else ", species not sure"
    return f"{row.animal.species}{sure}; {CONDITIONS[IntakeCondition(row.condition)]}"


@opens_to(Permission.RECORD_INTAKE)
def intake(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one animal as it was when it came, and ask for what is missing."""
    return intake_page(request, get_object_or_404(intakes(), pk=pk))


def intake_page(
    request: HttpRequest,
    row: Intake,
    *,
    typed: Mapping[str, forms.Form] | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    """Show one animal, with what was typed and refused.

    Args:
        request: whose.
        row: with its animal and delivery.
        typed: the form that was refused, by its name.
        status: of the answer.
    """
    reader, zone = person(request), ZoneInfo(row.arrival.site.time_zone)
    today = timezone.localdate(timezone=zone)
    warnings = warnings_of(row)
    given: dict[str, forms.Form] = {
        "exam": ExamForm(
            warnings=warnings,
            initial={"examined_by": reader.get_full_name() or reader.username},
        ),
        "photo": PhotoForm(),
        "lift": LiftForm(),
        "settle": SettleForm(),
        **(typed or {}),
    }
    context: dict[str, Any] = {
        "row": row,
        "line": _line(row.arrival),
        "facts": _intake_facts(row),
        "exams": _exams(row, zone),
        "signs": _signs(row, warnings, zone),
        "photos": row.photos.all(),
        "hold": hold_of(animal_ids=[row.animal_id], on=today).get(row.animal_id),
        "may_lift": reader.may(Permission.OPEN_GATES),
        "forms": given,
        "caution": CAUTION,
        "hands": HANDS,
        "law": LOCAL_LAW,
    }
    return render(request, "staff/intake.html", context, status=status)


def warnings_of(row: Intake) -> tuple[WarningSign, ...]:
    """Return the warning signs of an animal's care profile; none without one."""
    on = timezone.localdate(timezone=ZoneInfo(row.arrival.site.time_zone))
    profile = care_by_animal(animals=[row.animal], on=on)[row.animal_id].profile
    return profile.warning_signs if profile else ()


def _intake_facts(row: Intake) -> list[Row]:
    told = f"said to be “{row.species_told}”" if row.species_told else ""
    sure = "" if row.species_sure else "not sure yet"
    species = "; ".join(t for t in (str(row.animal.species), told, sure) if t)
    chip = SCANS[ChipScan(row.chip_scan)]
    facts = [
        Row("Species", species),
        Row("Condition", CONDITIONS[IntakeCondition(row.condition)]),
        Row("Microchip", f"{chip}; on record: {row.animal.microchip or 'none'}"),
        Row("What came with it", row.came_with or "nothing noted"),
        Row("Note", row.note or "—"),
    ]
    if row.hold_ended_on:
        ended = f"{day(row.hold_ended_on)}: {row.hold_ended_reason}"
        facts.append(Row("Hold lifted on", ended))
    return facts


def _exams(row: Intake, zone: ZoneInfo) -> list[dict[str, Any]]:
    found = exams().filter(animal=row.animal_id, at__gte=row.arrival.arrived_at)
    return [
        {
            "title": f"{clock(exam.at, zone)}, by {exam.examined_by}",
            "note": exam.note,
            "rows": [
                Row(
                    SYSTEMS[BodySystem(line.system)],
                    ": ".join(
                        t for t in (OUTCOMES[ExamOutcome(line.outcome)], line.note) if t
                    ),
                )
                for line in exam.lines.all()
            ],
        }
        for exam in found.order_by("-at", "-pk")
    ]


def _signs(
    row: Intake, warnings: tuple[WarningSign, ...], zone: ZoneInfo
) -> list[tuple[str, str]]:
    """Return the warning signs that were seen since it came, each with what to do."""
    known = {sign.id: sign for sign in warnings}
    seen = Observation.objects.filter(
        animal=row.animal_id,
        kind=ObservationKind.SIGN.value,
        struck_at__isnull=True,
        at__gte=row.arrival.arrived_at,
    )
    return [
        (
            f"{clock(at, zone)}: {known[sign].text if sign in known else sign} "
            f"({word})",
            known[sign].do if sign in known else "",
        )
        for at, sign, word in seen.order_by("at", "pk").values_list(
            "at", "sign", "observed"
        )
    ]


@opens_to(Permission.RECORD_INTAKE)
def intake_photo(request: HttpRequest, pk: int) -> FileResponse:  # noqa: ARG001 - a door
    """Hand out a photograph of an animal as it came."""
    name = get_object_or_404(IntakePhoto, pk=pk).photo.name or ""
    if not name or not default_storage.exists(name):
        raise Http404("The file of this photograph is not there any more.")
    return FileResponse(
        default_storage.open(name),
        content_type="image/jpeg",
        headers={
            "Cache-Control": "private, max-age=3600",
            "Content-Disposition": "inline",
            "X-Content-Type-Options": "nosniff",
        },
    )
