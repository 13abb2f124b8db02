"""Record what became of a dose that was due: given, or why not."""

from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.models import User
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, Dose, Prescription
from husbandry.queries.prescriptions import (
    dose_volume,
    doses_in_force,
    others_of_the_drug,
    prescription_fact,
    weighing_for_dose,
)
from husbandry.queries.returns import times_away_before
from husbandry.queries.stays import zone_of
from husbandry.rules.care_entries import TimeHere, check_instant
from husbandry.rules.health.giving import (
    DoseError,
    check_due,
    check_given,
    check_not_early,
    check_note,
    check_why,
)
from husbandry.rules.vocabulary import DatePrecision, DoseOutcome

STORED_ML = Decimal("0.0001")
_TOLD = (
    *("prescription", "due_at", "at", "outcome", "volume_ml", "computed_ml"),
    *("weighing", "note"),
)


@transaction.atomic
def give_dose(
    *,
    prescription: Prescription,
    due_at: datetime,
    given_at: datetime,
    by: User | None,
    recorded_at: datetime,
    note: str = "",
) -> Dose:
    """Record a dose as given; its volume is computed, never typed.

    From the newest weighing in force at `given_at`, by the profile's policy and band
    of that day. Reviews from the day on which it was due are marked stale. The same
    dose recorded again changes nothing.

    Args:
        prescription: what the vet wrote.
        due_at: the due dose that it stands for.
        given_at: when it was given, now or earlier.
        by: the person.
        recorded_at: now.
        note: up to 300 characters.

    Returns:
        The row; the one on record where the same was known already.

    Raises:
        DoseRefusedError: no volume can be computed; ask the vet.
        DoseError: no such dose is due, it is on record already or more than an
            interval away, the prescription was stopped, or another dose of the drug
            was given less than half an interval before or after, by whatever
            prescription.
        CareEntryError: the instant is to come, or outside the animal's time here.
    """
    check_note(note, field="note")
    locked = _locked(prescription)
    animal, zone = locked.animal, zone_of(animal=locked.animal, at=given_at)
    in_force = doses_in_force(prescription=locked)
    fact = prescription_fact(locked, in_force)
    _check_instant(animal, at=given_at, recorded_at=recorded_at, zone=zone)
    check_due(fact, due_at=due_at, zone=zone)
    row = Dose(
        prescription=locked,
        due_at=due_at,
        at=given_at,
        outcome=DoseOutcome.GIVEN.value,
        note=note.strip(),
    )
    known = _known(row, in_force, zone)
    if known is not None:
        return known
    check_not_early(fact, due_at=due_at, at=given_at, zone=zone)
    others = others_of_the_drug(prescription=locked)
    check_given(fact, others=others, given_at=given_at, zone=zone)
    row.weighing = weighing_for_dose(animal=animal, at=given_at)
    volume = dose_volume(
        prescription=fact, animal=animal, weighing=row.weighing, at=given_at, zone=zone
    )
    row.volume_ml = volume.volume_ml
    row.computed_ml = volume.exact_ml.quantize(STORED_ML)
    return _append(row, verb="give_dose", by=by, recorded_at=recorded_at)


@transaction.atomic
def note_dose_not_given(
    *,
    prescription: Prescription,
    due_at: datetime,
    why: str,
    by: User | None,
    recorded_at: datetime,
) -> Dose:
    """Record that a due dose was not given, and why.

    Reviews from the day on which it was due are marked stale. The same recorded
    again changes nothing.

    Args:
        prescription: what the vet wrote.
        due_at: the due dose.
        why: up to 300 characters.
        by: the person.
        recorded_at: now; kept as the row's instant.

    Returns:
        The row; the one on record where the same was known already.

    Raises:
        DoseError: no reason, no such dose is due, it is on record already, or it is
            more than an interval away.
    """
    check_why(why)
    locked = _locked(prescription)
    zone = zone_of(animal=locked.animal, at=recorded_at)
    in_force = doses_in_force(prescription=locked)
    fact = prescription_fact(locked, in_force)
    check_due(fact, due_at=due_at, zone=zone)
    row = Dose(
        prescription=locked,
        due_at=due_at,
        at=recorded_at,
        outcome=DoseOutcome.NOT_GIVEN.value,
        note=why.strip(),
    )
    known = _known(row, in_force, zone)
    if known is not None:
        return known
    check_not_early(fact, due_at=due_at, at=recorded_at, zone=zone)
    return _append(row, verb="note_dose_not_given", by=by, recorded_at=recorded_at)


def _locked(prescription: Prescription) -> Prescription:
    """Return a prescription whose doses nobody else records meanwhile.

    Nor those of another one for the same animal, which may be of the same drug.
    """
    rows = Prescription.objects.select_for_update(no_key=True, of=("self", "animal"))
    return rows.select_related("animal").get(pk=prescription.pk)


def _check_instant(
    animal: Animal, *, at: datetime, recorded_at: datetime, zone: ZoneInfo
) -> None:
    exact = animal.hatched_precision == DatePrecision.DAY
    on = at.astimezone(zone).date()
    here = TimeHere(
        str(animal),
        animal.hatched_on if exact else None,
        animal.left_on,
        away=times_away_before(animal=animal, on=on),
    )
    check_instant(here, at=at, on=on, recorded_at=recorded_at)


def _known(row: Dose, in_force: tuple[Dose, ...], zone: ZoneInfo) -> Dose | None:
    """Return the row that says the same of the due dose; refuse one that does not."""
    other = next((d for d in in_force if d.due_at == row.due_at), None)
    if other is None:
        return None
    given = row.outcome == DoseOutcome.GIVEN
    same = (other.outcome, other.note) == (row.outcome, row.note)
    # When a dose was not given, the instant is only that of writing it down.
    if same and (not given or other.at == row.at):
        return other
    said = "given" if other.outcome == DoseOutcome.GIVEN else "not given"
    raise DoseError(
        f"The dose due at {row.due_at.astimezone(zone):%Y-%m-%d %H:%M} is on record "
        f"already: {said}, {other.at.astimezone(zone):%Y-%m-%d %H:%M}. Strike that "
        "entry out first if it is wrong.",
        fields={"due_at": "a dose of which nothing is on record"},
    )


def _append(row: Dose, *, verb: str, by: User | None, recorded_at: datetime) -> Dose:
    row.recorded_by, row.recorded_at = by, recorded_at
    row.save()
    animal = row.prescription.animal
    mark_animal_stale(animal=animal, since_at=min(row.due_at, row.at), at=recorded_at)
    audit.record(
        row,
        verb=verb,
        by=by,
        at=recorded_at,
        after=audit.values(row, *_TOLD),
        reason="" if row.outcome == DoseOutcome.GIVEN else row.note,
    )
    return row
