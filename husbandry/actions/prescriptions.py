"""Record what a licensed vet prescribed, and that it was stopped."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from core import audit
from core.models import User
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, Prescription
from husbandry.queries.stays import zone_of
from husbandry.rules.animals import not_in_care
from husbandry.rules.health.prescribing import (
    Amounts,
    PrescriptionError,
    check_alone,
    check_amounts,
    check_days,
    check_words,
)
from husbandry.rules.vocabulary import AnimalStatus, DoseUnit, Route

LONGEST_REASON = 200
_DAY = timedelta(days=1)
_TOLD = (
    *("animal", "drug", "dose_per_kg", "dose_unit", "concentration_mg_per_ml"),
    *("route", "every_hours", "first_at", "until_on", "smallest_step_ml"),
    *("vet", "prescribed_on"),
)


@transaction.atomic
def prescribe(
    *,
    animal: Animal,
    drug: str,
    dose_per_kg: Decimal,
    dose_unit: DoseUnit,
    concentration_mg_per_ml: Decimal | None,
    route: Route,
    every_hours: int,
    first_at: datetime,
    until_on: date,
    smallest_step_ml: Decimal,
    vet: str,
    prescribed_on: date,
    reason: str,
    by: User | None,
    at: datetime,
) -> Prescription:
    """Record a prescription as a licensed vet wrote it; whether it is wise, a vet says.

    Reviews from the first dose on are marked stale. The same prescription recorded
    again changes nothing while it was not stopped.

    Args:
        animal: in care.
        drug: as the vet wrote it, up to 120 characters.
        dose_per_kg: mg or mL for each kilogram, to four decimals.
        dose_unit: which of them.
        concentration_mg_per_ml: of what is drawn up; in mg/kg only, else None.
        route: how it is given.
        every_hours: from dose to dose, 1 to 720.
        first_at: when the first dose is due; kept to the minute.
        until_on: last local day on which a dose is due, at most 366 days in all.
        smallest_step_ml: what the syringe in use can measure.
        vet: who prescribed it, with practice.
        prescribed_on: local day, not to come.
        reason: in the vet's words, up to 300 characters; may be empty.
        by: the person who records it.
        at: now.

    Returns:
        The prescription; the one on record where the same was known already.

    Raises:
        PrescriptionError: no vet or drug, an animal that has left, amounts, hours or
            days that cannot be, or the same drug is prescribed for these days already.
    """
    check_words(drug=drug, vet=vet, reason=reason)
    check_amounts(
        Amounts(
            dose_per_kg=dose_per_kg,
            dose_unit=dose_unit,
            concentration_mg_per_ml=concentration_mg_per_ml,
            every_hours=every_hours,
            smallest_step_ml=smallest_step_ml,
        )
    )
    first_at = first_at.replace(second=0, microsecond=0)
    animal = Animal.objects.select_for_update(no_key=True).get(pk=animal.pk)
    _check_here(animal)
    zone = zone_of(animal=animal, at=at)
    first_on = first_at.astimezone(zone).date()
    check_days(
        prescribed_on=prescribed_on,
        first_on=first_on,
        until_on=until_on,
        today=at.astimezone(zone).date(),
    )
    prescription = Prescription(
        animal=animal,
        drug=drug.strip(),
        dose_per_kg=dose_per_kg,
        dose_unit=dose_unit.value,
        concentration_mg_per_ml=concentration_mg_per_ml,
        route=route.value,
        every_hours=every_hours,
        first_at=first_at,
        until_on=until_on,
        smallest_step_ml=smallest_step_ml,
        vet=vet.strip(),
        prescribed_on=prescribed_on,
        reason=reason.strip(),
        recorded_by=by,
        recorded_at=at,
    )
    running = tuple(_running(animal))
    known = next((row for row in running if _same(row, prescription)), None)
    if known is not None:
        return known
    check_alone(
        prescription.drug,
        first_on=first_on,
        until_on=until_on,
        running=[
            (row.drug, row.first_at.astimezone(zone).date(), row.until_on)
            for row in running
        ],
    )
    prescription.save()
    # A dose is looked at on the day before it is due, too.
    mark_animal_stale(animal=animal, since_at=min(first_at - _DAY, at), at=at)
    audit.record(
        prescription,
        verb="prescribe",
        by=by,
        at=at,
        after=audit.values(prescription, *_TOLD),
        reason=prescription.reason,
    )
    return prescription


@transaction.atomic
def stop_prescription(
    *, prescription: Prescription, reason: str, by: User | None, at: datetime
) -> Prescription:
    """Stop a prescription, on a vet's word: from now on no dose is due.

    Args:
        prescription: one that was not stopped yet.
        reason: why, and on whose word; up to 200 characters.
        by: the person.
        at: now.

    Raises:
        PrescriptionError: no reason, or it was stopped already.
    """
    reason = reason.strip()
    if not reason:
        raise PrescriptionError(
            "Say why it is stopped, and on whose word.", fields={"reason": "not blank"}
        )
    if len(reason) > LONGEST_REASON:
        raise PrescriptionError(
            f"The reason has {len(reason)} characters; at most {LONGEST_REASON} are "
            "kept.",
            fields={"reason": f"at most {LONGEST_REASON} characters"},
        )
    changed = Prescription.objects.filter(
        pk=prescription.pk, stopped_at__isnull=True
    ).update(stopped_at=at, stopped_by=by, stopped_reason=reason)
    prescription.refresh_from_db()
    if not changed:
        raise PrescriptionError(f"{prescription} was stopped already.")
    mark_animal_stale(animal=prescription.animal, since_at=at - _DAY, at=at)
    audit.record(
        prescription,
        verb="stop_prescription",
        by=by,
        at=at,
        before={"stopped_at": None},
        after=audit.values(prescription, "stopped_at"),
        reason=reason,
    )
    return prescription


def _running(animal: Animal) -> QuerySet[Prescription]:
    rows = Prescription.objects.filter(animal=animal, stopped_at__isnull=True)
    return rows.order_by("first_at", "pk")


def _same(one: Prescription, other: Prescription) -> bool:
    return audit.values(one, *_TOLD, "reason") == audit.values(other, *_TOLD, "reason")


def _check_here(animal: Animal) -> None:
    if animal.status != AnimalStatus.IN_CARE:
        raise PrescriptionError(
            not_in_care(str(animal), AnimalStatus(animal.status)),
            fields={"animal": "one in care"},
        )
