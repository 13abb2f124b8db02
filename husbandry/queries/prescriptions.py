"""What was prescribed, and which dose is next with what it would be."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from husbandry.models import Animal, Dose, Prescription, Weighing
from husbandry.queries.policies import profile_for
from husbandry.queries.stays import zone_of
from husbandry.rules.care.dosing import (
    DoseRefusedError,
    DoseVolume,
    dose_from,
    doses_due,
)
from husbandry.rules.care.facts import DoseFact, PrescriptionFact
from husbandry.rules.health.giving import DoseError, check_given
from husbandry.rules.health.prescribing import same_drug
from husbandry.rules.profiles.resolving import stage_on, weight_band_for
from husbandry.rules.vocabulary import DoseOutcome, DoseUnit, Route, Sex
from husbandry.rules.weights import WeighingPoint


@dataclass(frozen=True, slots=True)
class WaitingDoses:
    """Due doses of which nothing is on record, and what one would be now.

    Attributes:
        due: oldest first, until an interval from now.
        proposed: the newest that is due already, or else the next one; None: nothing
            is waiting.
        volume: of a dose given now; None: refused, or nothing is to be given now.
        code: of the refusal to give one now; "" where one may be given.
        refusal: why none is given now, and what to do; "" where one may be.
        zone: of the site's clock.
    """

    due: tuple[datetime, ...]
    proposed: datetime | None
    volume: DoseVolume | None
    code: str
    refusal: str
    zone: ZoneInfo


def prescription_fact(row: Prescription, doses: Iterable[Dose]) -> PrescriptionFact:
    """Return a prescription as the rules see it.

    Args:
        row: the prescription.
        doses: of it, those in force.
    """
    return PrescriptionFact(
        id=row.pk,
        drug=row.drug,
        dose_per_kg=row.dose_per_kg,
        dose_unit=DoseUnit(row.dose_unit),
        concentration_mg_per_ml=row.concentration_mg_per_ml,
        route=Route(row.route),
        every_hours=row.every_hours,
        first_at=row.first_at,
        until_on=row.until_on,
        smallest_step_ml=row.smallest_step_ml,
        vet=row.vet,
        stopped_at=row.stopped_at,
        doses=tuple(
            DoseFact(d.pk, d.due_at, d.at, DoseOutcome(d.outcome), d.volume_ml)
            for d in doses
        ),
    )


def doses_in_force(*, prescription: Prescription) -> tuple[Dose, ...]:
    """Return what is on record of a prescription's doses, struck-out ones left out."""
    rows = Dose.objects.filter(prescription=prescription, struck_at__isnull=True)
    return tuple(rows.order_by("due_at"))


def others_of_the_drug(*, prescription: Prescription) -> tuple[PrescriptionFact, ...]:
    """Return the animal's other prescriptions of a drug, stopped ones too, with doses.

    Two queries.
    """
    rows = Prescription.objects.filter(animal=prescription.animal_id)
    others = [
        row
        for row in rows.exclude(pk=prescription.pk).order_by("pk")
        if same_drug(row.drug, prescription.drug)
    ]
    doses: dict[int, list[Dose]] = defaultdict(list)
    given = Dose.objects.filter(prescription__in=others, struck_at__isnull=True)
    for dose in given.order_by("due_at"):
        doses[dose.prescription_id].append(dose)
    return tuple(prescription_fact(row, doses[row.pk]) for row in others)


def weighing_for_dose(*, animal: Animal, at: datetime) -> Weighing | None:
    """Return the newest weighing in force until an instant; one at it counts."""
    return (
        Weighing.objects.filter(animal=animal, at__lte=at, corrected_by__isnull=True)
        .order_by("-at", "-pk")
        .first()
    )


def dose_volume(
    *,
    prescription: PrescriptionFact,
    animal: Animal,
    weighing: Weighing | None,
    at: datetime,
    zone: ZoneInfo,
) -> DoseVolume:
    """Return a dose as it would be given at an instant; three queries.

    Args:
        prescription: what the vet wrote.
        animal: whose it is.
        weighing: the newest in force, or None.
        at: when it is given.
        zone: whose local days count.

    Raises:
        DoseRefusedError: as `husbandry.rules.care.dosing.dose_from`.
    """
    on = at.astimezone(zone).date()
    version = profile_for(animal=animal, on=on, at=at)
    profile, band = version.profile if version else None, None
    if profile is not None:
        stage = stage_on(profile, hatched_on=animal.hatched_on, on=on)
        band = weight_band_for(profile, stage.code if stage else None, Sex(animal.sex))
    point = (
        WeighingPoint(weighing.pk, weighing.at, weighing.mass_g) if weighing else None
    )
    return dose_from(
        prescription,
        weighing=point,
        zone=zone,
        on=on,
        policy=profile.dosing if profile else None,
        band=band,
    )


def waiting_doses(*, prescription: Prescription, at: datetime) -> WaitingDoses:
    """Return which doses are waiting, and what one would be if it were given now.

    Args:
        prescription: with its animal.
        at: now.
    """
    animal = prescription.animal
    zone = zone_of(animal=animal, at=at)
    fact = prescription_fact(prescription, doses_in_force(prescription=prescription))
    recorded = {dose.due_at for dose in fact.doses}
    soon = at + timedelta(hours=fact.every_hours)
    due = doses_due(
        fact,
        zone=zone,
        from_on=fact.first_at.astimezone(zone).date(),
        until_on=soon.astimezone(zone).date(),
    )
    waiting = tuple(d for d in due if d not in recorded and d <= soon)
    volume, code, refusal = None, "", ""
    try:
        check_given(
            fact,
            others=others_of_the_drug(prescription=prescription),
            given_at=at,
            zone=zone,
        )
        volume = dose_volume(
            prescription=fact,
            animal=animal,
            weighing=weighing_for_dose(animal=animal, at=at),
            at=at,
            zone=zone,
        )
    except (DoseError, DoseRefusedError) as refused:
        code, refusal = refused.code, refused.sentence
    return WaitingDoses(
        waiting, _proposed(waiting, due, at), volume, code, refusal, zone
    )


def _proposed(
    waiting: tuple[datetime, ...], due: tuple[datetime, ...], at: datetime
) -> datetime | None:
    newest = max((d for d in due if d <= at), default=None)
    if newest in waiting:
        return newest
    return next((d for d in waiting if d > at), None)
