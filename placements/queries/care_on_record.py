"""What an animal ate, what was seen of its health, what a vet prescribed."""

from collections import defaultdict
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from husbandry.models import Animal, Dose, HealthTest, Observation, Prescription
from husbandry.queries.care_records import feedings_of, orders_of
from husbandry.queries.care_span import CareSpan
from husbandry.queries.prescriptions import prescription_fact
from husbandry.rules.care.facts import DoseFact
from husbandry.rules.vocabulary import (
    DoseOutcome,
    HealthTestKind,
    HealthTestResult,
    ObservationKind,
    Observed,
)
from placements.rules.packets.facts import CareOnRecord
from placements.rules.packets.health import Sighting, Treatment, treatment_line
from placements.rules.packets.records import TestLine, TreatmentLine
from placements.rules.packets.routines import FeedingOrderLine


def care_on_record(
    *, animal: Animal, on: date, at: datetime, zone: ZoneInfo
) -> CareOnRecord:
    """Return what is on record of an animal's food and health; six queries.

    Args:
        animal: whose.
        on: the day it leaves; what was agreed of its food and ends before is left
            out.
        at: what was recorded later is left out.
        zone: whose local days count.
    """
    until_on = at.astimezone(zone).date()
    span = CareSpan(zone, from_on=until_on, until_on=until_on)
    ids = Animal.objects.filter(pk=animal.pk)
    feedings = feedings_of(ids=ids, span=span).get(animal.pk, [])
    return CareOnRecord(
        feedings=tuple(f for f in feedings if f.at <= at),
        orders=tuple(
            FeedingOrderLine(
                kind=order.kind,
                from_on=order.from_on,
                until_on=order.until_on,
                every_days=order.every_days,
                portion=order.portion,
                unit=order.unit,
                reason=order.reason,
            )
            for order in orders_of(ids=ids, span=span).get(animal.pk, [])
            if order.until_on >= on
        ),
        sightings=_sightings(animal, at, zone),
        treatments=_treatments(animal, at, zone),
        tests=_tests(animal, until_on),
    )


def _sightings(animal: Animal, at: datetime, zone: ZoneInfo) -> tuple[Sighting, ...]:
    rows = Observation.objects.filter(
        animal=animal,
        kind=ObservationKind.SIGN.value,
        struck_at__isnull=True,
        at__lte=at,
    ).order_by("at", "pk")
    return tuple(
        Sighting(
            sign=sign,
            on=seen_at.astimezone(zone).date(),
            observed=Observed(observed) if observed else Observed.PRESENT,
        )
        for sign, seen_at, observed in rows.values_list("sign", "at", "observed")
    )


def _treatments(
    animal: Animal, at: datetime, zone: ZoneInfo
) -> tuple[TreatmentLine, ...]:
    rows = Prescription.objects.filter(animal=animal, recorded_at__lte=at)
    doses: dict[int, list[DoseFact]] = defaultdict(list)
    for dose in Dose.objects.filter(
        prescription__animal=animal, struck_at__isnull=True, at__lte=at
    ).order_by("due_at", "pk"):
        outcome = DoseOutcome(dose.outcome)
        doses[dose.prescription_id].append(
            DoseFact(dose.pk, dose.due_at, dose.at, outcome, None)
        )
    return tuple(
        treatment_line(_treatment(row, doses[row.pk], at), zone=zone, until_at=at)
        for row in rows.order_by("first_at", "pk")
    )


def _treatment(row: Prescription, doses: list[DoseFact], at: datetime) -> Treatment:
    stopped = row.stopped_at is not None and row.stopped_at <= at
    fact = replace(
        prescription_fact(row, ()),
        stopped_at=row.stopped_at if stopped else None,
        doses=tuple(doses),
    )
    return Treatment(fact, row.reason, row.stopped_reason if stopped else "")


def _tests(animal: Animal, until_on: date) -> tuple[TestLine, ...]:
    rows = HealthTest.objects.filter(animal=animal, taken_on__lte=until_on)
    return tuple(
        _test(row, answered=row.result_on is not None and row.result_on <= until_on)
        for row in rows.order_by("taken_on", "pk")
    )


def _test(row: HealthTest, *, answered: bool) -> TestLine:
    return TestLine(
        kind=HealthTestKind(row.kind),
        taken_on=row.taken_on,
        result=HealthTestResult(row.result) if answered else HealthTestResult.AWAITED,
        result_on=row.result_on if answered else None,
        finding=row.finding if answered else "",
    )
