"""One clutch with its eggs, candlings and young; one egg with its history."""

from dataclasses import dataclass
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from clutches.actions.mending import mend_egg as mend
from clutches.models import Clutch, Egg
from clutches.queries.breeding import breeding_list
from clutches.queries.clutch_pages import (
    ClutchRecord,
    EggLine,
    clutch_record,
    egg_record,
)
from clutches.rules.eggs.mending import Mended
from clutches.rules.vocabulary import Candled, ClutchKind, EggState, FailureCause
from core.errors import DomainError
from core.roles import Permission
from staff import egg_words
from staff.breeding import clutch_row, due_rows
from staff.doors import opens_to, person
from staff.egg_forms import MendForm
from staff.units import clock, count, day


@dataclass(frozen=True, slots=True)
class EggRow:
    """One egg in the table of its clutch."""

    id: int
    number: int
    box: str
    place: str
    state: str
    seen: str
    mass: str


@dataclass(frozen=True, slots=True)
class CandledRow:
    """What was seen on one day, how many eggs showed what."""

    on: str
    day: int
    seen: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SireRow:
    """A male that may be the sire."""

    id: int
    label: str
    share: str
    basis: str


@dataclass(frozen=True, slots=True)
class SpellRow:
    """Where an egg lay, from when until when."""

    box: str
    place: str
    told: str


@dataclass(frozen=True, slots=True)
class LookRow:
    """One look at an egg."""

    at: str
    seen: str
    mass: str
    by: str
    note: str
    struck: str


@opens_to(Permission.SEE_ANIMALS)
def clutch_page(request: HttpRequest, code: str) -> HttpResponse:
    """Show one clutch with all that is on record of it."""
    rows = Clutch.objects.select_related("species", "dam", "site", "plan")
    clutch = get_object_or_404(rows, code=code)
    record = clutch_record(clutch=clutch)
    awaited = breeding_list(at=timezone.now(), clutch=clutch)
    context = {
        "clutch": clutch,
        "identity": _identity(clutch, record),
        "due": due_rows(awaited),
        "awaited": clutch_row(awaited[0]) if awaited else None,
        "boxes": awaited[0].waiting.boxes if awaited else (),
        "forecasts": [
            (row.box.code, egg_words.forecast(row)) for row in record.forecasts
        ],
        "sires": [
            SireRow(
                row.sire_id,
                str(row.sire),
                f"{100 * row.probability:.0f} %",
                row.get_basis_display().replace("_", " "),
            )
            for row in record.sires
        ],
        "unknown": _unknown_share(record),
        "eggs": [_egg_row(line) for line in record.eggs],
        "candlings": [
            CandledRow(
                day(one.on), one.day, tuple(str(eggs or "–") for _, eggs in one.seen)
            )
            for one in record.candlings
        ],
        "seen_words": [egg_words.SEEN[word] for word in Candled],
        "hatchlings": record.hatchlings,
    }
    return render(request, "staff/clutch.html", context)


def _identity(clutch: Clutch, record: ClutchRecord) -> list[str]:
    """Return the sentences that say what a clutch is."""
    born = clutch.kind == ClutchKind.LIVE_YOUNG
    verb = "Born" if born else "Laid"
    told = [f"{clutch.species}. {verb} on {day(clutch.laid_on)} at {clutch.site.name}."]
    if born:
        told.append(f"{clutch.born_alive} born alive, {clutch.born_dead} born dead.")
    else:
        states = [line.state for line in record.eggs]
        now = ", ".join(
            f"{states.count(word)} {word.value}" for word in EggState if word in states
        )
        told.append(
            f"{count(clutch.eggs_set, 'egg')} set, {clutch.eggs_infertile} infertile to "
            f"be seen at laying, {clutch.eggs_broken} broken."
            + (f" Now: {now}." if now else "")
        )
    if clutch.mass_g is not None:
        told.append(f"All together {clutch.mass_g} g.")
    if clutch.plan:
        told.append(f"Kept by the plan “{clutch.plan}”.")
    return told


def _unknown_share(record: ClutchRecord) -> str:
    left = 1 - sum(row.probability for row in record.sires)
    return f"{100 * left:.0f} %" if record.sires and left > 0 else ""


def _egg_row(line: EggLine) -> EggRow:
    ended = line.ended_on or line.pipped_on
    on = f", {day(ended)}" if ended else ""
    seen = line.look.seen
    return EggRow(
        id=line.id,
        number=line.number,
        box=line.lies.box_code,
        place=line.lies.label,
        state=f"{egg_words.state(line.state, line.cause)}{on}",
        seen=(
            f"{egg_words.SEEN[seen]}, {day(line.look.seen_on)}"
            if seen and line.look.seen_on
            else "not candled"
        ),
        mass=f"{line.look.mass_g} g" if line.look.mass_g is not None else "–",
    )


@opens_to(Permission.SEE_ANIMALS)
def egg_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one egg with its history."""
    egg = _egg(pk)
    return _egg_page(request, egg, MendForm(initial=_as_is(egg)))


@opens_to(Permission.RECORD_BREEDING)
@require_POST
def mend_egg(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Mend what is on record of an egg where it was wrong."""
    egg = _egg(pk)
    form = MendForm(request.POST)
    if not form.is_valid():
        return _egg_page(request, egg, form, status=HTTPStatus.BAD_REQUEST)
    given = form.cleaned_data
    mended = Mended(
        EggState(given["state"]),
        given["pipped_on"],
        given["ended_on"],
        FailureCause(given["cause"]) if given["cause"] else None,
    )
    try:
        result = mend(
            egg=egg,
            mended=mended,
            reason=given["reason"],
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        form.add_error(None, ValidationError(error.sentence))
        return _egg_page(request, egg, form, status=HTTPStatus.CONFLICT)
    messages.success(request, "Mended.")
    for remark in result.remarks:
        messages.warning(request, remark)
    return redirect("staff:egg", egg.pk)


def _egg(pk: int) -> Egg:
    return get_object_or_404(Egg.objects.select_related("clutch__site"), pk=pk)


def _as_is(egg: Egg) -> dict[str, object]:
    names = ("state", "pipped_on", "ended_on", "cause")
    return {name: getattr(egg, name) for name in names}


def _egg_page(
    request: HttpRequest, egg: Egg, form: MendForm, *, status: int = HTTPStatus.OK
) -> HttpResponse:
    record, zone = egg_record(egg=egg), ZoneInfo(egg.clutch.site.time_zone)
    cause = FailureCause(egg.cause) if egg.cause else None
    ended = egg.ended_on or egg.pipped_on
    told = egg_words.state(EggState(egg.state), cause)
    context = {
        "egg": egg,
        "state": f"{told}, {day(ended)}" if ended else told,
        "spells": [
            SpellRow(
                spell.box,
                spell.place,
                f"from {clock(spell.from_at, zone)}"
                + (f" until {clock(spell.until_at, zone)}" if spell.until_at else ""),
            )
            for spell in record.spells
        ],
        "checks": [
            LookRow(
                at=clock(check.at, zone),
                seen=egg_words.SEEN[Candled(check.seen)] if check.seen else "–",
                mass=f"{check.mass_g} g" if check.mass_g is not None else "–",
                by=str(check.recorded_by) if check.recorded_by else "",
                note=check.note,
                struck=check.struck_reason,
            )
            for check in record.checks
        ],
        "animal": record.animal.animal if record.animal else None,
        "form": form,
        "may_record": person(request).may(Permission.RECORD_BREEDING),
    }
    return render(request, "staff/egg.html", context, status=status)
