"""Record weighings: appended, never altered; a correction names what it corrects."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from core import audit
from core.constraints import promised
from core.models import User
from husbandry.actions.staleness import mark_animal_stale
from husbandry.actions.weighing_checks import (
    WeighingError,
    check_length,
    check_reason,
    check_weighed_at,
    known_among,
    other_mass,
)
from husbandry.models import Animal, Weighing
from husbandry.queries.animals import care_by_animal
from husbandry.queries.returns import times_away_before
from husbandry.queries.stays import local_day_of
from husbandry.queries.weights import last_weighings, weighed_in_its_room
from husbandry.rules.masses import check_plausible_mass, plausible_masses, round_mass
from husbandry.rules.profiles.resolving import weight_band_for
from husbandry.rules.vocabulary import Sex

__all__ = [
    "WeighingError",
    "confirm_weighing",
    "correct_weighing",
    "record_weighing",
]
_TOLD = ("animal", "at", "mass_g", "corrects", "note")


@transaction.atomic
def record_weighing(
    *,
    animal: Animal,
    mass_g: Decimal,
    at: datetime,
    by: User | None,
    recorded_at: datetime,
    note: str = "",
) -> Weighing:
    """Record what an animal weighed.

    Reviews that judged it from that day on are marked stale. The same weighing
    recorded again changes nothing.

    Args:
        animal: who was weighed.
        mass_g: grams, above zero; kept to 0.01 g.
        at: when it was weighed.
        by: the person.
        recorded_at: now.
        note: up to 200 characters.

    Returns:
        The row; the one on record where the same weighing was known already.

    Raises:
        ImplausibleMassError: it looks like a slip; see `confirm_weighing`.
        ImpossibleMassError: no animal has this mass.
        WeighingError: the instant is to come, lies before the animal hatched or
            after it left, or another mass is on record for it.
    """
    check_length("note", note)
    row = Weighing(animal=animal, at=at, mass_g=round_mass(mass_g), note=note)
    known = _known(row)
    if known is not None:
        return known
    on = _check_instant(animal, at=at, recorded_at=recorded_at)
    _check_plausible(row, on)
    return _append(row, verb="record_weighing", by=by, recorded_at=recorded_at)


@transaction.atomic
def confirm_weighing(
    *,
    animal: Animal,
    mass_g: Decimal,
    at: datetime,
    by: User | None,
    recorded_at: datetime,
    reason: str,
) -> Weighing:
    """Record a mass that is unlikely but right, as somebody says who weighed again.

    Args:
        animal: who was weighed.
        mass_g: grams, above zero; kept to 0.01 g.
        at: when it was weighed.
        by: the person who confirms it.
        recorded_at: now.
        reason: why it is right; kept as the weighing's note.

    Returns:
        The row; the one on record where the same weighing was known already.

    Raises:
        ImpossibleMassError: no animal has this mass.
        WeighingError: no reason is given, or as in `record_weighing`.
    """
    check_reason(reason)
    row = Weighing(animal=animal, at=at, mass_g=round_mass(mass_g), note=reason)
    known = _known(row)
    if known is not None:
        return known
    _check_instant(animal, at=at, recorded_at=recorded_at)
    return _append(row, verb="confirm_weighing", by=by, recorded_at=recorded_at)


@transaction.atomic
def correct_weighing(
    *,
    weighing: Weighing,
    mass_g: Decimal,
    at: datetime,
    by: User | None,
    recorded_at: datetime,
    reason: str,
) -> Weighing:
    """Replace a weighing by what it should have said; the old row stays on record.

    Whether the mass is likely is not asked again: giving a reason confirms it.

    Args:
        weighing: the one to replace, in force.
        mass_g: what it weighed, grams.
        at: when it was weighed; the old instant, unless that was wrong.
        by: the person.
        recorded_at: now.
        reason: what was wrong; kept as the new weighing's note.

    Returns:
        The new row, which names the old one.

    Raises:
        ImpossibleMassError: no animal has this mass.
        WeighingError: no reason, nothing changed, the weighing was corrected
            already, or another one is on record at that instant.
    """
    mass_g = round_mass(mass_g)
    check_reason(reason)
    animal = weighing.animal
    if (mass_g, at) == (weighing.mass_g, weighing.at):
        raise WeighingError(
            f"{animal} already has {mass_g} g on record for that instant: nothing "
            "would change. Give another mass or another instant.",
            fields={"mass_g": "another mass"},
        )
    _check_instant(animal, at=at, recorded_at=recorded_at)
    other = _in_force(animal, at).exclude(pk=weighing.pk).first()
    if other is not None:
        raise other_mass(other)
    row = Weighing(animal=animal, at=at, mass_g=mass_g, corrects=weighing, note=reason)
    return _append(row, verb="correct_weighing", by=by, recorded_at=recorded_at)


def _append(
    row: Weighing, *, verb: str, by: User | None, recorded_at: datetime
) -> Weighing:
    row.recorded_by, row.recorded_at = by, recorded_at
    raced = WeighingError(
        f"Another weighing of {row.animal} at that instant was recorded at the same "
        "moment. Look at it and correct it if it is wrong.",
        fields={"at": "an instant without a weighing"},
    )
    corrected = WeighingError(
        f"This weighing of {row.animal} was corrected already. Correct the newer one.",
        fields={"weighing": "one in force"},
    )
    with promised(
        {
            "husbandry_weighing_once_an_instant": raced,
            "husbandry_weighing.animal_id": raced,
            "corrects_id": corrected,
        }
    ):
        row.save()
    since_at = row.at if row.corrects is None else min(row.at, row.corrects.at)
    mark_animal_stale(animal=row.animal, since_at=since_at, at=recorded_at)
    before = audit.values(row.corrects, "at", "mass_g") if row.corrects else {}
    audit.record(
        row,
        verb=verb,
        by=by,
        at=recorded_at,
        before=before,
        after=audit.values(row, *_TOLD),
        reason="" if verb == "record_weighing" else row.note,
    )
    return row


def _known(row: Weighing) -> Weighing | None:
    """Return the weighing on record that says the same; refuse one that does not."""
    found = Weighing.objects.filter(animal=row.animal, at=row.at)
    others = list(found.select_related("corrected_by").order_by("-pk"))
    corrected = {o.pk for o in others if hasattr(o, "corrected_by")}
    return known_among(row, others, corrected=corrected)


def _in_force(animal: Animal, at: datetime) -> QuerySet[Weighing]:
    return Weighing.objects.filter(animal=animal, at=at, corrected_by__isnull=True)


def _check_instant(animal: Animal, *, at: datetime, recorded_at: datetime) -> date:
    """Return the local day of a weighing; refuse one that cannot have been."""
    on = local_day_of(animal=animal, at=at)
    times = times_away_before(animal=animal, on=on)
    check_weighed_at(animal, at=at, on=on, times=times, recorded_at=recorded_at)
    return on


def _check_plausible(row: Weighing, on: date) -> None:
    animal = row.animal
    care = care_by_animal(animals=[animal], on=on)[animal.pk]
    last = last_weighings(animal_ids=[animal.pk], before_at=row.at).get(animal.pk)
    profile, band = care.profile, None
    if profile is not None:
        band = weight_band_for(profile, care.stage_code, Sex(animal.sex))
    species = profile.weight_bands if profile else ()
    plausible = plausible_masses(last=last, band=band, species=species)
    if plausible is None or row.mass_g in plausible:
        return
    # Asked only now: most weighings are plausible.
    neighbours = weighed_in_its_room(animal=animal, before_at=row.at)
    check_plausible_mass(
        row.mass_g, last=last, band=band, species=species, neighbours=neighbours
    )
