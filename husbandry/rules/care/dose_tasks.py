"""Which doses of what a licensed vet prescribed fall due, and what became of them."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from husbandry.rules.care.dosing import DoseRefusedError, dose_from, doses_due
from husbandry.rules.care.facts import CaredAnimal, PrescriptionFact
from husbandry.rules.care.task_keys import animal_key
from husbandry.rules.care.tasks import CareTask, DosePlan
from husbandry.rules.profiles.resolving import stage_on, weight_band_for
from husbandry.rules.profiles.values import DosingPolicy, WeightBand
from husbandry.rules.vocabulary import TaskKind


def dose_tasks(
    animal: CaredAnimal, *, zone: ZoneInfo, from_on: date, until_on: date
) -> tuple[CareTask, ...]:
    """Return the doses of one animal that fall due in a range, oldest first.

    What was recorded for a due dose closes it, given or not. A volume that cannot be
    trusted is not shown; the plan says why, and what to ask the vet.

    Args:
        animal: with its prescriptions and its newest weighing.
        zone: whose local days count.
        from_on: first day of the range.
        until_on: last day of the range.
    """
    tasks = (
        _task(animal, prescription, due_at, zone)
        for prescription in animal.prescriptions
        for due_at in doses_due(
            prescription, zone=zone, from_on=from_on, until_on=until_on
        )
    )
    return tuple(sorted(tasks, key=lambda task: (task.due_at, task.key)))


def _task(
    animal: CaredAnimal,
    prescription: PrescriptionFact,
    due_at: datetime,
    zone: ZoneInfo,
) -> CareTask:
    due_on = due_at.astimezone(zone).date()
    stamp = due_at.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    return CareTask(
        key=animal_key(TaskKind.DOSE, animal.id, due_on, prescription.id, stamp),
        kind=TaskKind.DOSE,
        due_on=due_on,
        due_at=due_at,
        animal=animal.id,
        enclosure=None,
        room=None,
        plan=_plan(animal, prescription, due_at, due_on, zone),
        done_on=next(_recorded_on(prescription, due_at, zone), None),
        rule_id="",
        provenance=None,
    )


def _recorded_on(
    prescription: PrescriptionFact, due_at: datetime, zone: ZoneInfo
) -> Iterator[date]:
    return (
        dose.at.astimezone(zone).date()
        for dose in prescription.doses
        if dose.due_at == due_at
    )


def _plan(
    animal: CaredAnimal,
    prescription: PrescriptionFact,
    due_at: datetime,
    due_on: date,
    zone: ZoneInfo,
) -> DosePlan:
    policy, band = _limits(animal, due_on)
    last = animal.last_weighing
    volume_ml, refusal = None, ""
    try:
        volume_ml = dose_from(
            prescription, weighing=last, zone=zone, on=due_on, policy=policy, band=band
        ).volume_ml
    except DoseRefusedError as error:
        refusal = str(error)
    return DosePlan(
        prescription=prescription.id,
        drug=prescription.drug,
        route=prescription.route,
        vet=prescription.vet,
        due_at=due_at,
        volume_ml=volume_ml,
        refusal=refusal,
        mass_g=last.mass_g if last else None,
        weighed_on=last.at.astimezone(zone).date() if last else None,
    )


def _limits(
    animal: CaredAnimal, on: date
) -> tuple[DosingPolicy | None, WeightBand | None]:
    if animal.profile is None:
        return None, None
    stage = stage_on(animal.profile, hatched_on=animal.hatched_on, on=on)
    code = stage.code if stage else None
    band = weight_band_for(animal.profile, code, animal.sex)
    return animal.profile.dosing, band
