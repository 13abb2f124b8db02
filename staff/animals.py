"""The animals: a list, and one with what it needs and how it fared."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from clutches.queries.open_looks import all_looks
from clutches.queries.origins import Origin, origin_of
from core.roles import Permission
from husbandry.models import Animal, Conditions, Stay
from husbandry.queries.animals import AnimalLine, animal_lines
from husbandry.queries.growth import growth_of
from husbandry.queries.mornings import open_findings_of
from husbandry.queries.needs import Needs, needs_on
from husbandry.queries.pictures import conditions_of_night
from husbandry.queries.review_states import newest_night
from husbandry.queries.stays import current_stays
from husbandry.queries.weights import last_weighings
from husbandry.rules.sentences import growing, names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import AnimalStatus, Quantity, Sex, Zone
from husbandry.rules.weights import WeighingPoint
from staff.animal_ways import animal_ways
from staff.cards import card, worst_first
from staff.doors import opens_to, person
from staff.evidence import Row
from staff.needs import needs_told
from staff.sexing_words import look_rows
from staff.units import count, day, units_of, weekday


@dataclass(frozen=True, slots=True)
class AnimalRow:
    """One animal in the list, in the reader's units."""

    line: AnimalLine
    place: str
    mass: str


@dataclass(frozen=True, slots=True)
class ConditionRow:
    """What one spot was like on one local day."""

    where: str
    wanted: str
    mean: str
    extremes: str
    outside: str
    measured: str
    whole: bool


@opens_to(Permission.SEE_ANIMALS)
def animals(request: HttpRequest) -> HttpResponse:
    """List the animals in care."""
    now, units = timezone.now(), units_of(person(request))
    lines = animal_lines(at=now, on=timezone.localdate(), site=None)
    rows = [_animal_row(line, units) for line in lines]
    may_edit = person(request).may(Permission.EDIT_ANIMALS)
    context = {"rows": rows, "may_edit": may_edit}
    return render(request, "staff/animals.html", context)


def _animal_row(line: AnimalLine, units: Units) -> AnimalRow:
    place = ", ".join(p for p in (line.site, line.room, line.enclosure) if p)
    mass = "never weighed"
    if line.mass_g is not None and line.weighed_at is not None:
        on = day(line.weighed_at.date())
        mass = f"{numbers.mass(line.mass_g, units)} on {on}"
    return AnimalRow(line, place or "in no enclosure on record", mass)


@opens_to(Permission.SEE_ANIMALS)
def animal_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one animal: who it is, what it needs, how it fared."""
    animal = get_object_or_404(
        Animal.objects.select_related("species", "dam", "sire"), pk=pk
    )
    now, units = timezone.now(), units_of(person(request))
    stay = current_stays(animal_ids=[animal.pk]).get(animal.pk)
    zone = ZoneInfo(stay.enclosure.room.site.time_zone if stay else "UTC")
    today = now.astimezone(zone).date()
    needs = needs_on(animal=animal, on=today, at=now)
    weighing = last_weighings(animal_ids=[animal.pk], before_at=now).get(animal.pk)
    night = newest_night(site=stay.enclosure.room.site) if stay else None
    growth = growth_of(animal=animal, at=now).growth
    found = sorted(open_findings_of(animal=animal), key=worst_first)
    context = {
        "animal": animal,
        "never_here": animal.status == AnimalStatus.ELSEWHERE,
        "identity": _identity(animal, stay, needs, today),
        "looks": look_rows(all_looks(animal=animal), zone),
        "weight": _weight(weighing, zone, units, now),
        "trend": growing.told_trend(growth, units),
        "comparison": growing.told_comparison(growth, units),
        "caution": growing.CAUTION if growing.needs_caution(growth) else "",
        "needs": needs_told(needs, animal=animal, on=today, units=units),
        "version": needs.version,
        "stage": needs.stage,
        "today": today,
        "night": night,
        "conditions": _conditions(stay, night, units),
        "cards": [card(f, units=units) for f in found],
        "ways": animal_ways(animal, person(request)),
    }
    return render(request, "staff/animal.html", context)


def _identity(
    animal: Animal, stay: Stay | None, needs: Needs, today: date
) -> list[Row]:
    sex = animal.get_sex_display()
    if animal.sex != Sex.UNKNOWN:
        basis = animal.get_sex_basis_display()
        sex += f", by {basis} ({animal.get_sex_confidence_display()})"
    rows = [
        Row("Species", f"{animal.species} ({animal.species.scientific_name})"),
        Row("Sex", sex),
        Row("Hatched", _hatched(animal, today)),
        *_here(animal, stay, needs),
        Row("Comes from", animal.get_origin_display()),
    ]
    for label, parent in (("Dam", animal.dam), ("Sire", animal.sire)):
        if parent is not None:
            rows.append(Row(label, str(parent)))
    origin = origin_of(animal=animal)
    if origin.candidates:
        rows.append(Row("Sire", _candidates(origin)))
    if origin.clutch:
        rows.append(Row("Clutch", origin.clutch))
    if animal.microchip:
        rows.append(Row("Microchip", animal.microchip))
    return rows


def _candidates(origin: Origin) -> str:
    """Return who the sire may be; never a guess."""
    named = [
        f"{one.code} {one.name}".strip() + f" ({100 * one.probability:.0f} %)"
        for one in origin.candidates
    ]
    # Shares are rounded down: less than one in a hundred is nobody.
    if 100 * origin.unknown > 1:
        named.append(f"a male not on record ({100 * origin.unknown:.0f} %)")
    return " or ".join(named)


def _here(animal: Animal, stay: Stay | None, needs: Needs) -> list[Row]:
    """Return what is only true of an animal that is or was in care here."""
    status = Row("Status", animal.get_status_display())
    if animal.status == AnimalStatus.ELSEWHERE:
        return [status]
    return [
        Row("Life stage", needs.stage.name if needs.stage else "not known"),
        Row("State", needs.reproduction.value),
        status,
        Row("Lives in", _place(stay)),
        Row("Here since", day(animal.arrived_on)),
    ]


def _hatched(animal: Animal, today: date) -> str:
    if animal.hatched_on is None:
        return "not known"
    if animal.status == AnimalStatus.ELSEWHERE:
        return f"{day(animal.hatched_on)}, known to the {animal.hatched_precision}"
    age = count((today - animal.hatched_on).days, "day")
    precise = animal.hatched_precision == "day"
    roughly = "" if precise else f", known to the {animal.hatched_precision}"
    return f"{day(animal.hatched_on)} ({age} old{roughly})"


def _place(stay: Stay | None) -> str:
    if stay is None:
        return "no enclosure on record"
    room = stay.enclosure.room
    return f"{stay.enclosure}, {room.name}, {room.site.name}"


def _weight(
    weighing: WeighingPoint | None, zone: ZoneInfo, units: Units, now: datetime
) -> str:
    if weighing is None:
        return "Never weighed."
    on = weighing.at.astimezone(zone).date()
    days = (now.astimezone(zone).date() - on).days
    ago = f"{count(days, 'day')} ago" if days else "today"
    return f"{numbers.mass(weighing.mass_g, units)} on {weekday(on)}, {ago}."


def _conditions(
    stay: Stay | None, night: date | None, units: Units
) -> list[ConditionRow]:
    if stay is None or night is None:
        return []
    rows = conditions_of_night(enclosure=stay.enclosure, on=night)
    return [_condition_row(row, units) for row in rows]


def _condition_row(row: Conditions, units: Units) -> ConditionRow:
    quantity = Quantity(row.quantity)
    spot = f"{names.QUANTITIES[quantity]} {names.ZONES[Zone(row.probe.zone)]}"
    share = row.covered_s / row.expected_s if row.expected_s else 0.0
    mean, lowest, highest = (
        "–" if value is None else numbers.value(value, quantity, units)
        for value in (row.mean, row.lowest, row.highest)
    )
    outside = [
        f"{numbers.duration(seconds)} {side}"
        for seconds, side in ((row.below_s, "below"), (row.above_s, "above"))
        if seconds
    ]
    wanted = row.low is not None or row.high is not None
    nothing = "–" if not wanted else "0 min" if row.covered_s else "not known"
    return ConditionRow(
        where=f"{names.sentence(spot)}, by {row.period}",
        wanted=numbers.band(row.low, row.high, quantity, units) if wanted else "–",
        mean=mean,
        extremes=f"{lowest} to {highest}" if row.lowest is not None else "–",
        outside=", ".join(outside) or nothing,
        measured=f"{100 * share:.0f} %",
        whole=share >= 0.995,
    )
