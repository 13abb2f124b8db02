"""Take in a delivery: one form for how it came and for each of its animals."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone

from clutches.queries.hatch_sheets import homes as places_of
from core.errors import DomainError
from core.models import Site
from core.roles import Permission
from core.zones import instant
from husbandry.models import Animal, Enclosure
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.intakes import IntakeError, IntakeRow, record_arrival
from placements.models import Home
from placements.queries.intakes import records_of
from placements.rules.holds import LOCAL_LAW
from placements.rules.intake_cautions import CAUTIONS
from placements.rules.intakes import MOST_ANIMALS
from placements.rules.newcomers import KnownAnimal
from staff.doors import opens_to, person
from staff.intake_forms import AnimalForm, ArrivalForm
from staff.refusals import refuse
from staff.units import count, units_of

NOON = time(12)


@dataclass(frozen=True, slots=True)
class Block:
    """One animal with its form; and the animal on record that it may be."""

    number: int
    form: AnimalForm
    offered: KnownAnimal | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that is typed at once."""

    common: ArrivalForm
    blocks: tuple[Block, ...]

    @property
    def is_valid(self) -> bool:
        """Return whether everything can be read; every form is asked."""
        return all([self.common.is_valid(), *(b.form.is_valid() for b in self.blocks)])


@opens_to(Permission.RECORD_INTAKE)
def take_in(request: HttpRequest) -> HttpResponseBase:
    """Ask how animals came and what they are, and take in all of them at once."""
    if request.method != "POST":
        typed = {"code": request.GET.get("again", ""), "again": "again" in request.GET}
        many = _number(request.GET.get("many", "1"))
        return _page(request, _sheet(request, None, many, first=typed))
    many, typed_ = _number(request.POST.get("many", "1")), request.POST
    if "more" in typed_:
        return _page(request, _sheet(request, typed_, min(many + 1, MOST_ANIMALS)))
    if "take_back" in typed_:
        return _page(request, _sheet(request, _taken_back(typed_), many))
    return _record(request, _sheet(request, typed_, many))


def _number(typed: str) -> int:
    known = typed.isdecimal() and len(typed) < 4
    return min(max(int(typed), 1), MOST_ANIMALS) if known else 1


def _taken_back(typed: QueryDict) -> QueryDict:
    """Return what was typed, with one animal as the one on record that was offered."""
    data = typed.copy()
    prefix, _, code = str(typed["take_back"]).partition(":")
    data[f"{prefix}-code"], data[f"{prefix}-again"] = code, "on"
    # These stand on its record already.
    for name in ("name", "species"):
        data[f"{prefix}-{name}"] = ""
    return data


def _sheet(
    request: HttpRequest,
    data: QueryDict | None,
    many: int,
    *,
    first: dict[str, object] | None = None,
) -> Sheet:
    reader = person(request)
    sees = reader.may(Permission.SEE_HOMES)
    places = [place for site in Site.objects.all() for place in places_of(site=site)]
    unit = units_of(reader).mass
    homes = Home.objects.filter(erased_at__isnull=True) if sees else None
    source = {"source": "return"} if first and first["again"] else {}
    forms = [
        AnimalForm(
            data,
            prefix=f"a{n}",
            unit=unit,
            places=places,
            initial={"species_sure": True, **((first or {}) if n == 0 else {})},
        )
        for n in range(many)
    ]
    common = ArrivalForm(data, homes=homes, initial=source)
    return Sheet(common, tuple(Block(n + 1, f) for n, f in enumerate(forms)))


def _record(request: HttpRequest, sheet: Sheet) -> HttpResponseBase:
    if not sheet.is_valid:
        return _page(request, sheet, status=HTTPStatus.BAD_REQUEST)
    rows = _rows(sheet)
    if rows is None:
        return _page(request, sheet, status=HTTPStatus.BAD_REQUEST)
    now = timezone.now()
    try:
        arrival = record_arrival(
            arrival=sheet.common.details(_arrived_at(sheet.common, now)),
            animals=rows,
            by=person(request),
            at=now,
        )
    except DomainError as error:
        return _page(request, _refused(sheet, error), status=HTTPStatus.CONFLICT)
    messages.success(
        request,
        f"{count(len(rows), 'animal')} taken in. Look each over and photograph it.",
    )
    return redirect("staff:arrival", arrival.pk)


def _rows(sheet: Sheet) -> Sequence[IntakeRow] | None:
    """Return the animals; None where one that was here before is not on record."""
    given = [block.form.cleaned_data for block in sheet.blocks]
    codes = {one["code"].strip() for one in given if one["again"]}
    known = {animal.code: animal for animal in Animal.objects.filter(code__in=codes)}
    keys = {int(one["enclosure"]) for one in given if one["enclosure"]}
    enclosures = Enclosure.objects.in_bulk(keys)
    for block in sheet.blocks:
        asked = block.form.cleaned_data
        if asked["again"] and asked["code"].strip() not in known:
            said = "There is no animal of this code. Give the one on its label."
            block.form.add_error("code", said)
    if any(block.form.errors for block in sheet.blocks):
        return None
    return [block.form.row(known, enclosures) for block in sheet.blocks]


def _arrived_at(form: ArrivalForm, now: datetime) -> datetime:
    """Return when they came; of a day without a time it was noon."""
    given = form.cleaned_data
    zone = ZoneInfo(given["site"].time_zone)
    today = now.astimezone(zone).date()
    if given["at"] is None and given["on"] in (None, today):
        return now
    shown = instant(given["on"] or today, given["at"] or NOON, zone=zone)
    return datetime.fromtimestamp(shown, UTC)


def _refused(sheet: Sheet, error: DomainError) -> Sheet:
    """Say each thing beside the field and the animal that it is about."""
    problems = error.problems if isinstance(error, IntakeError) else ()
    if not problems:
        refuse(sheet.common, error)
        return sheet
    for problem in problems:
        form = sheet.blocks[problem.line].form
        said = problem.sentence[:1].upper() + problem.sentence[1:]
        form.add_error(
            problem.field if problem.field in form.fields else None,
            ValidationError(said),
        )
    sheet.common.add_error(
        None, ValidationError("Nothing was recorded: see beside the animals.")
    )
    return Sheet(sheet.common, _offered(sheet.blocks))


def _offered(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Return the animals, each with one that left and has its chip or its code."""
    # As typed: what is wrong about a field is not among what was cleaned.
    codes = [str(b.form["code"].value() or "").strip() for b in blocks]
    chips = [
        "".join(c for c in str(b.form["microchip"].value() or "") if c.isdecimal())
        for b in blocks
    ]
    records = records_of(codes=codes, chips=chips)
    here = (AnimalStatus.IN_CARE, AnimalStatus.DEAD)
    found = []
    for block, code, chip in zip(blocks, codes, chips, strict=True):
        known = records.by_chip.get(chip) or records.by_code.get(code)
        done = block.form["again"].value() and known and known.code == code
        fits = known is not None and known.status not in here and not done
        found.append(Block(block.number, block.form, known if fits else None))
    return tuple(found)


def _page(
    request: HttpRequest, sheet: Sheet, *, status: int = HTTPStatus.OK
) -> HttpResponse:
    context = {
        "sheet": sheet,
        "many": len(sheet.blocks),
        "may_add": len(sheet.blocks) < MOST_ANIMALS,
        "cautions": CAUTIONS,
        "law": LOCAL_LAW,
    }
    return render(request, "staff/taking_in.html", context, status=status)
