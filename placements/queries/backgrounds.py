"""How an animal came into care, and what was seen of it then and before."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Prefetch, Q

from clutches.models import Hatchling, SpurCheck
from clutches.rules.vocabulary import ClutchKind, EggState, Heel
from husbandry.models import Animal, EarlierCare, Quarantine
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Clearance, Exam, ExamLine, Intake
from placements.rules.packets.facts import Background
from placements.rules.packets.records import (
    ClutchLine,
    EarlierCareLine,
    ExamEntry,
    ExamPart,
    IntakeLine,
    MateBand,
    QuarantineLine,
    SpurLine,
)
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)


def background_of(
    *, animal: Animal, mates: tuple[MateBand, ...], at: datetime, zone: ZoneInfo
) -> Background:
    """Return how an animal came and where from; eight queries.

    Args:
        animal: whose.
        mates: the bands of its clutch-mates, passed on.
        at: what was recorded later is left out.
        zone: whose local days count.
    """
    return Background(
        intakes=_intakes(animal, at, zone),
        earlier_care=_earlier_care(animal),
        quarantines=_quarantines(animal, at.astimezone(zone).date()),
        exams=_exams(animal, at, zone),
        clutch=_clutch(animal),
        spur_checks=_spur_checks(animal, at, zone),
        mates=mates,
    )


def _intakes(animal: Animal, at: datetime, zone: ZoneInfo) -> tuple[IntakeLine, ...]:
    rows = Intake.objects.filter(animal=animal, arrival__arrived_at__lte=at)
    return tuple(
        IntakeLine(
            on=row.arrival.arrived_at.astimezone(zone).date(),
            source=IntakeSource(row.arrival.source),
            condition=IntakeCondition(row.condition),
            chip_scan=ChipScan(row.chip_scan),
            species_told=row.species_told,
            hold_until=row.hold_ended_on or row.arrival.hold_until,
            came_with=row.came_with,
        )
        for row in rows.select_related("arrival").order_by("arrival__arrived_at", "pk")
    )


def _earlier_care(animal: Animal) -> tuple[EarlierCareLine, ...]:
    return tuple(
        EarlierCareLine(row.arrived_on, row.left_on, AnimalStatus(row.status))
        for row in EarlierCare.objects.filter(animal=animal).order_by("arrived_on")
    )


def _quarantines(animal: Animal, until_on: date) -> tuple[QuarantineLine, ...]:
    clearances = {
        row.quarantine_id: row
        for row in Clearance.objects.filter(quarantine__animal=animal, on__lte=until_on)
    }
    return tuple(
        QuarantineLine(
            began_on=row.began_on,
            ended_on=row.ended_on
            if row.ended_on is not None and row.ended_on <= until_on
            else None,
            cleared=row.pk in clearances,
            despite=clearances[row.pk].despite if row.pk in clearances else "",
        )
        for row in Quarantine.objects.filter(
            animal=animal, began_on__lte=until_on
        ).order_by("began_on", "pk")
    )


def _exams(animal: Animal, at: datetime, zone: ZoneInfo) -> tuple[ExamEntry, ...]:
    rows = Exam.objects.filter(animal=animal, at__lte=at).prefetch_related(
        Prefetch("lines", ExamLine.objects.order_by("pk"))
    )
    return tuple(
        ExamEntry(
            exam.at.astimezone(zone).date(),
            tuple(
                ExamPart(BodySystem(p.system), ExamOutcome(p.outcome), p.note)
                for p in exam.lines.all()
            ),
        )
        for exam in rows.order_by("at", "pk")
    )


def _clutch(animal: Animal) -> ClutchLine | None:
    row = (
        Hatchling.objects.filter(animal=animal)
        .select_related("clutch", "egg")
        .annotate(
            hatched=Count(
                "clutch__eggs", filter=Q(clutch__eggs__state=EggState.HATCHED.value)
            )
        )
        .first()
    )
    if row is None:
        return None
    clutch = row.clutch
    laid = clutch.kind == ClutchKind.EGGS.value
    return ClutchLine(
        code=clutch.code,
        kind=ClutchKind(clutch.kind),
        laid_on=clutch.laid_on,
        eggs_set=clutch.eggs_set if laid else clutch.born_alive + clutch.born_dead,
        hatched=row.hatched if laid else clutch.born_alive,
        egg=row.egg.number if row.egg else None,
    )


def _spur_checks(animal: Animal, at: datetime, zone: ZoneInfo) -> tuple[SpurLine, ...]:
    rows = SpurCheck.objects.filter(animal=animal, struck_at__isnull=True, at__lte=at)
    return tuple(
        SpurLine(row.at.astimezone(zone).date(), Heel(row.left), Heel(row.right))
        for row in rows.order_by("at", "pk")
    )
