"""What is on record of an animal's leaving: gates, papers, handovers, the home's wishes."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q

from core.models import User
from husbandry.models import Prescription, Stay
from husbandry.rules.vocabulary import Lights
from placements.models import (
    AnimalPaper,
    Exam,
    GateOpening,
    Home,
    Placement,
    TreatmentHandover,
)
from placements.rules.packets.days import LightTimes
from placements.rules.packets.facts import Leaving
from placements.rules.packets.leaving import (
    METRIC_ON_A4,
    GateLine,
    HandoverLine,
    PaperLine,
    PrintChoice,
)
from placements.rules.packets.routines import LightsBasis
from placements.rules.vocabulary import (
    CitesSource,
    Gate,
    Paper,
    PaperKind,
    PlacementKind,
    UnitSystem,
)

# Kinds of papers that an authority issues; others may be a private person's word.
OFFICIAL = frozenset(
    {
        PaperKind.CITES_PERMIT,
        PaperKind.CITES_CERTIFICATE,
        PaperKind.KEEPING_PERMIT,
        PaperKind.TRADE_LICENCE,
        PaperKind.RELEASE_PERMIT,
    }
)


def leaving_of(
    *, placement: Placement, stays: Sequence[Stay], at: datetime, zone: ZoneInfo
) -> Leaving:
    """Return what is on record of an animal's leaving; eight queries.

    Args:
        placement: which.
        stays: of the animal, the last one last, with the set-ups of the enclosures.
        at: what was recorded later is left out.
        zone: whose local days count.
    """
    row = Placement.objects.select_related("home", "home_enclosure").get(
        pk=placement.pk
    )
    until_on = at.astimezone(zone).date()
    return Leaving(
        print=_print(row.home),
        lights=_lights(row, stays, until_on),
        gates_opened=_gates(row, at, zone),
        treatment_handovers=_handovers(row, at, zone),
        papers=_papers(row, at),
        due_back_on=row.due_back_on,
        names=tuple(sorted(set(_names(row)))),
    )


def _print(home: Home | None) -> PrintChoice:
    if home is None:
        return METRIC_ON_A4
    return PrintChoice(UnitSystem(home.units), Paper(home.paper), home.language)


def _lights(placement: Placement, stays: Sequence[Stay], on: date) -> LightTimes | None:
    there = placement.home_enclosure
    if there is not None:
        return LightTimes(there.lights_on, there.lights_off, LightsBasis.HOME)
    setups = (
        [s for s in stays[-1].enclosure.setups.all() if s.from_on <= on]
        if (stays)
        else []
    )
    if not setups or setups[-1].lights != Lights.TIMER.value:
        return None
    lights_on, lights_off = setups[-1].lights_on, setups[-1].lights_off
    if lights_on is None or lights_off is None:
        return None
    return LightTimes(lights_on, lights_off, LightsBasis.HERE)


def _gates(placement: Placement, at: datetime, zone: ZoneInfo) -> tuple[GateLine, ...]:
    rows = GateOpening.objects.filter(
        placement=placement, opened_at__lte=at, shut_again_at__isnull=True
    )
    return tuple(
        GateLine(
            Gate(row.gate),
            row.why_shut,
            row.reason,
            row.opened_at.astimezone(zone).date(),
        )
        for row in rows.order_by("opened_at", "pk")
    )


def _handovers(
    placement: Placement, at: datetime, zone: ZoneInfo
) -> tuple[HandoverLine, ...]:
    rows = TreatmentHandover.objects.filter(
        placement=placement, handed_over_at__lte=at
    ).select_related("prescription")
    return tuple(
        HandoverLine(
            row.prescription.drug,
            row.plan,
            row.handed_over_at.astimezone(zone).date(),
        )
        for row in rows.order_by("handed_over_at", "pk")
    )


def _papers(placement: Placement, at: datetime) -> tuple[PaperLine, ...]:
    of_it = Q(animal=placement.animal_id)
    if placement.kind == PlacementKind.RELEASE.value:
        of_it |= Q(
            species__animals=placement.animal_id, kind=PaperKind.RELEASE_PERMIT.value
        )
    rows = AnimalPaper.objects.filter(
        of_it, recorded_at__lte=at, withdrawn_at__isnull=True
    )
    return tuple(
        _paper(row) for row in rows.order_by("kind", "issued_on", "number", "pk")
    )


def _paper(row: AnimalPaper) -> PaperLine:
    kind = PaperKind(row.kind)
    return PaperLine(
        kind=kind,
        number=row.number,
        cites_source=CitesSource(row.cites_source) if row.cites_source else None,
        issued_by=row.issued_by if kind in OFFICIAL else "",
        issued_on=row.issued_on,
        valid_until=row.valid_until,
    )


def _names(placement: Placement) -> Iterator[str]:
    """Yield by what people are called and found who may stand in what others wrote."""
    homes = Home.objects.filter(
        Q(placements__animal=placement.animal_id)
        | Q(arrivals__intakes__animal=placement.animal_id),
        erased_at__isnull=True,
    ).distinct()
    for home in homes:
        yield from (home.name, home.email, *home.contact.splitlines())
    for first, last in User.objects.values_list("first_name", "last_name"):
        if first and last:
            yield f"{first} {last}"
    for vet in (
        *Prescription.objects.filter(animal=placement.animal_id)
        .order_by("pk")
        .values_list("vet", flat=True),
        *Exam.objects.filter(animal=placement.animal_id)
        .order_by("pk")
        .values_list("examined_by", flat=True),
    ):
        yield from (vet, vet.partition(",")[0])
