"""Doses that were missed, and doses that cannot be computed."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.dosing import (
    DoseRefusedError,
    DoseVolume,
    dose_from,
    doses_due,
)
from husbandry.rules.care.facts import CaredAnimal, CareFacts, PrescriptionFact
from husbandry.rules.health.conventions import CARE_TASKS
from husbandry.rules.profiles.resolving import stage_on, weight_band_for
from husbandry.rules.vocabulary import FindingKind, Urgency


def dose_of(
    animal: CaredAnimal, prescription: PrescriptionFact, *, zone: ZoneInfo, on: date
) -> DoseVolume:
    """Return one animal's dose on a day, by its profile's policy and band.

    Args:
        animal: with its profile and newest weighing.
        prescription: one of its own.
        zone: whose local days count.
        on: local day of the dose.

    Raises:
        DoseRefusedError: as `husbandry.rules.care.dosing.dose_from`.
    """
    profile, band = animal.profile, None
    if profile is not None:
        stage = stage_on(profile, hatched_on=animal.hatched_on, on=on)
        band = weight_band_for(profile, stage.code if stage else None, animal.sex)
    return dose_from(
        prescription,
        weighing=animal.last_weighing,
        zone=zone,
        on=on,
        policy=profile.dosing if profile else None,
        band=band,
    )


def assess_medicine(
    animal: CaredAnimal, facts: CareFacts, *, on: date
) -> Iterator[Assessment]:
    """Tell missed doses, and what keeps the next one from being computed.

    A dose is missed once half of its interval has passed by the end of the local day
    and nobody recorded what became of it. Doses of `on` and of the day after, on
    which this is read, are computed.

    Args:
        animal: with its prescriptions.
        facts: the zone, and from which day on records were gathered.
        on: the local day.

    Returns:
        At most one of each kind for each prescription.

    Source:
        care-task-convention.
    """
    for prescription in animal.prescriptions:
        yield from _missed(animal, prescription, facts, on=on)
        yield from _unsafe(animal, prescription, facts, on=on)


def _missed(
    animal: CaredAnimal, prescription: PrescriptionFact, facts: CareFacts, *, on: date
) -> Iterator[Assessment]:
    end = _end(on, facts.zone)
    grace = timedelta(hours=prescription.every_hours) / 2
    recorded = {dose.due_at for dose in prescription.doses if dose.at < end}
    due = doses_due(prescription, zone=facts.zone, from_on=facts.since_on, until_on=on)
    missed = [at for at in due if at not in recorded and at + grace <= end]
    if not missed:
        return
    yield _about(
        animal,
        prescription,
        FindingKind.DOSE_MISSED,
        {
            "missed": len(missed),
            "first_due_at": _local(missed[0], facts.zone),
            "last_due_at": _local(missed[-1], facts.zone),
            "every_hours": prescription.every_hours,
        },
    )


def _unsafe(
    animal: CaredAnimal, prescription: PrescriptionFact, facts: CareFacts, *, on: date
) -> Iterator[Assessment]:
    recorded = {dose.due_at for dose in prescription.doses}
    due = doses_due(
        prescription, zone=facts.zone, from_on=on, until_on=on + timedelta(days=1)
    )
    waiting = [at for at in due if at not in recorded]
    if not waiting:
        return
    due_on = waiting[-1].astimezone(facts.zone).date()
    try:
        dose_of(animal, prescription, zone=facts.zone, on=due_on)
    except DoseRefusedError as refused:
        yield _about(
            animal,
            prescription,
            FindingKind.DOSE_UNSAFE,
            {
                "code": refused.code,
                "sentence": refused.sentence,
                "due_at": _local(waiting[-1], facts.zone),
            },
        )


def _about(
    animal: CaredAnimal,
    prescription: PrescriptionFact,
    kind: FindingKind,
    found: dict[str, object],
) -> Assessment:
    return Assessment(
        kind,
        Urgency.TODAY,
        {
            "prescription": prescription.id,
            "drug": prescription.drug,
            "vet": prescription.vet,
            **found,
        },
        provenance=CARE_TASKS,
        detail=(str(prescription.id),),
        animal=animal.id,
    )


def _end(on: date, zone: ZoneInfo) -> datetime:
    """Return the instant at which a local day is over."""
    next_on = on + timedelta(days=1)
    return datetime.combine(next_on, time.min, tzinfo=zone).astimezone(UTC)


def _local(at: datetime, zone: ZoneInfo) -> str:
    return at.astimezone(zone).strftime("%Y-%m-%d %H:%M")
