"""Record weighings: appended, never altered; a correction names what it corrects."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from core import audit
from core.constraints import promised
from core.errors import DomainError
from core.models import User
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, Weighing
from husbandry.queries.animals import care_by_animal
from husbandry.queries.returns import times_away_before
from husbandry.queries.stays import local_day_of
from husbandry.queries.weights import last_weighings, weighed_in_its_room
from husbandry.rules.animals import never_here
from husbandry.rules.masses import check_plausible_mass, plausible_masses, round_mass
from husbandry.rules.profiles.resolving import weight_band_for
from husbandry.rules.returns import check_not_away
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, Sex

LONGEST_NOTE = 200
_TOLD = ("animal", "at", "mass_g", "corrects", "note")


class WeighingError(DomainError):
    """A weighing cannot be recorded as given."""

    code = "weighing_refused"


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
    _check_length("note", note)
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
    _check_reason(reason)
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
    _check_reason(reason)
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
        raise _other_mass(other)
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
    """Return the weighing on record that says the same; refuse one that does not.

    A corrected weighing counts too: a list sent in again must not undo or refuse
    what a person has mended since.
    """
    others = list(Weighing.objects.filter(animal=row.animal, at=row.at).order_by("-pk"))
    for other in others:
        if other.mass_g == row.mass_g:
            return other
    in_force = _in_force(row.animal, row.at).first()
    if in_force is not None:
        raise _other_mass(in_force)
    if others:
        raise WeighingError(
            f"{row.animal} had {others[0].mass_g} g on record at "
            f"{row.at:%Y-%m-%d %H:%M %Z}, which was corrected to another instant. It "
            "keeps its instant on record: give this weighing one a minute later.",
            fields={"at": "an instant that never had a weighing"},
        )
    return None


def _in_force(animal: Animal, at: datetime) -> QuerySet[Weighing]:
    return Weighing.objects.filter(animal=animal, at=at, corrected_by__isnull=True)


def _other_mass(other: Weighing) -> WeighingError:
    return WeighingError(
        f"{other.animal} already has {other.mass_g} g on record at "
        f"{other.at:%Y-%m-%d %H:%M %Z}. Correct that weighing, or give the instant of "
        "the other one.",
        fields={"at": "an instant without a weighing"},
    )


def _check_reason(reason: str) -> None:
    if not reason.strip():
        raise WeighingError(
            "Say why: an unlikely or corrected mass is kept with its reason.",
            fields={"reason": "not blank"},
        )
    _check_length("reason", reason)


def _check_length(name: str, text: str) -> None:
    if len(text) > LONGEST_NOTE:
        raise WeighingError(
            f"The {name} has {len(text)} characters; at most {LONGEST_NOTE} are kept.",
            fields={name: f"at most {LONGEST_NOTE} characters"},
        )


def _check_instant(animal: Animal, *, at: datetime, recorded_at: datetime) -> date:
    """Return the local day of a weighing; refuse one that cannot have been."""
    if at > recorded_at:
        raise WeighingError(
            f"{at:%Y-%m-%d %H:%M %Z} has not come yet. Give the instant of weighing, "
            "now or earlier.",
            fields={"at": "now or earlier"},
        )
    if animal.status == AnimalStatus.ELSEWHERE:
        raise WeighingError(
            never_here(str(animal)), fields={"animal": "one that is or was in care"}
        )
    on = local_day_of(animal=animal, at=at)
    if animal.left_on is not None and on > animal.left_on:
        raise WeighingError(
            f"{animal} left on {animal.left_on:%d %b %Y}; it cannot have been weighed "
            f"here on {on:%d %b %Y}.",
            fields={"at": f"until {animal.left_on}"},
        )
    times = times_away_before(animal=animal, on=on)
    check_not_away(str(animal), on, times=times, error=WeighingError, field="at")
    if _hatched_after(animal, on):
        raise WeighingError(
            f"{animal} hatched on {animal.hatched_on:%d %b %Y}; it cannot have been "
            f"weighed on {on:%d %b %Y}.",
            fields={"at": f"from {animal.hatched_on} on"},
        )
    return on


def _hatched_after(animal: Animal, on: date) -> bool:
    exact = animal.hatched_precision == DatePrecision.DAY
    return exact and animal.hatched_on is not None and on < animal.hatched_on


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
