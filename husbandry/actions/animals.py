"""Register animals, mend what was recorded wrongly, note that one has left."""

from datetime import date, datetime
from typing import Unpack
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.models import User
from core.zones import day_bounds
from husbandry.actions.animal_records import (
    FIELDS,
    AnimalChanges,
    AnimalDetails,
    check_came_after,
    check_details,
    check_young,
    save_animal,
    set_details,
)
from husbandry.actions.quarantine import end_with_care
from husbandry.actions.reproduction import record_reproductive_state
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, Species, Stay
from husbandry.queries.stays import current_stays, local_day_of, zone_of
from husbandry.rules.animals import AnimalError, check_arrival_kept, never_here
from husbandry.rules.vocabulary import AnimalStatus

__all__ = [
    "AnimalChanges",
    "AnimalDetails",
    "AnimalError",
    "correct_animal",
    "mark_left",
    "record_reproductive_state",
    "register_animal",
]


@transaction.atomic
def register_animal(
    *,
    code: str,
    species: Species,
    arrived_on: date,
    by: User | None,
    at: datetime,
    **details: Unpack[AnimalDetails],
) -> Animal:
    """Register an animal that is in care from a day on; it has no enclosure yet.

    Args:
        code: as on its label, up to 20 characters; unique for ever.
        species: its kind.
        arrived_on: its first day in care here; not to come.
        by: the person.
        at: now.
        details: see `AnimalDetails`; what is left out is unknown.

    Raises:
        AnimalError: code taken or blank, a date to come, a hatch date that its
            precision or the arrival contradicts.
        SexError: sex, basis and confidence do not fit together.
        ParentError: a parent that cannot be.
        MicrochipError: no number of a chip, a test number, or another animal's.
    """
    animal = Animal(code=code, species=species, arrived_on=arrived_on)
    set_details(animal, details)
    check_details(animal, at=at)
    save_animal(animal)
    after = audit.values(animal, *FIELDS)
    audit.record(animal, verb="register_animal", by=by, at=at, after=after)
    return animal


@transaction.atomic
def correct_animal(
    *,
    animal: Animal,
    by: User | None,
    at: datetime,
    reason: str,
    **changes: Unpack[AnimalChanges],
) -> Animal:
    """Mend what is on record of an animal; what it said stays in the audit trail.

    Reviews of past nights are not marked stale: they keep what was known then.

    Args:
        animal: the one to mend.
        by: the person.
        at: now.
        reason: what was wrong, or what became known.
        changes: the fields to mend; see `AnimalChanges`.

    Returns:
        The animal as it is now.

    Raises:
        AnimalError: no reason, nothing to change, or as in `register_animal`.
        SexError: sex, basis and confidence do not fit together.
        ParentError: a parent that cannot be, or it cannot be the parent of its
            own young any more.
        MicrochipError: as in `register_animal`.
    """
    if not reason.strip():
        raise AnimalError(
            "Say what was wrong or became known.", fields={"reason": "not blank"}
        )
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    before = audit.values(animal, *FIELDS)
    set_details(animal, changes)
    after = audit.values(animal, *FIELDS)
    changed = [name for name in FIELDS if before[name] != after[name]]
    if not changed:
        raise AnimalError(
            f"Nothing would change for {animal}: give what it should say.",
        )
    check_arrival_kept(AnimalStatus(animal.status), changed=changed)
    check_details(animal, at=at)
    check_came_after(animal)
    check_young(animal)
    save_animal(animal)
    audit.record(
        animal,
        verb="correct_animal",
        by=by,
        at=at,
        before={name: before[name] for name in changed},
        after={name: after[name] for name in changed},
        reason=reason.strip(),
    )
    return animal


@transaction.atomic
def mark_left(
    *,
    animal: Animal,
    status: AnimalStatus,
    on: date,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> Animal:
    """Note that an animal was placed, released, died or was lost; its stay ends.

    Its stay ends with that day; reviews that judged it on it and later are marked
    stale.

    Args:
        animal: in care.
        status: placed, released, dead or lost.
        on: the local day; not to come, not before its current stay began, and not
            before its last one ended.
        by: the person.
        at: now. Where it left today its stay ends now, otherwise with that day.
        reason: why, or how.

    Raises:
        AnimalError: it has left already, or the day cannot be.
    """
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    if status in (AnimalStatus.IN_CARE, AnimalStatus.ELSEWHERE):
        raise AnimalError(
            f"{animal} is marked as left by placed, released, dead or lost.",
            fields={"status": "placed, released, dead or lost"},
        )
    if animal.status == AnimalStatus.ELSEWHERE:
        raise AnimalError(never_here(str(animal)))
    if animal.status != AnimalStatus.IN_CARE:
        raise AnimalError(
            f"{animal} left on {animal.left_on:%d %b %Y} already ({animal.status})."
        )
    _check_left(animal, on=on, today=local_day_of(animal=animal, at=at))
    stay = current_stays(animal_ids=[animal.pk]).get(animal.pk)
    if stay is not None:
        _end_stay(stay, on=on, at=at)
    else:
        _check_gone_by(animal, on=on)
    animal.status, animal.left_on = status.value, on
    animal.save(update_fields=["status", "left_on"])
    start_s, _ = day_bounds(on, zone=zone_of(animal=animal, at=at))
    since_at = datetime.fromtimestamp(start_s, at.tzinfo)
    mark_animal_stale(animal=animal, since_at=since_at, at=at)
    audit.record(
        animal,
        verb="mark_left",
        by=by,
        at=at,
        before={
            "status": AnimalStatus.IN_CARE.value,
            "enclosure": stay.enclosure.code if stay else None,
        },
        after=audit.values(animal, "status", "left_on"),
        reason=reason,
    )
    end_with_care(animal=animal, on=on, by=by, at=at)
    return animal


def _check_left(animal: Animal, *, on: date, today: date) -> None:
    if on > today:
        raise AnimalError(
            f"{on:%d %b %Y} has not come yet; note that {animal} left once it has.",
            fields={"on": f"until {today}"},
        )
    if on < animal.arrived_on:
        raise AnimalError(
            f"{animal} arrived on {animal.arrived_on:%d %b %Y} and cannot have left "
            f"on {on:%d %b %Y}.",
            fields={"on": f"{animal.arrived_on} or later"},
        )


def _check_gone_by(animal: Animal, *, on: date) -> None:
    last = Stay.objects.filter(animal=animal).order_by("-until_at").first()
    if last is None or last.until_at is None:
        return
    site = last.enclosure.room.site
    last_on = last.until_at.astimezone(ZoneInfo(site.time_zone)).date()
    _, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    if last.until_at.timestamp() > end_s:
        raise AnimalError(
            f"{animal} was in {last.enclosure} until {last_on:%d %b %Y} and cannot "
            f"have left on {on:%d %b %Y}.",
            fields={"on": f"{last_on} or later"},
        )


def _end_stay(stay: Stay, *, on: date, at: datetime) -> None:
    site = stay.enclosure.room.site
    _, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    ends_at = min(at, datetime.fromtimestamp(end_s, at.tzinfo))
    if ends_at <= stay.from_at:
        raise AnimalError(
            f"{stay.animal} came to {stay.enclosure} at "
            f"{stay.from_at:%Y-%m-%d %H:%M %Z}, after {on:%d %b %Y}. Give that day or "
            "a later one.",
            fields={"on": f"{stay.from_at.date()} or later"},
        )
    stay.until_at = ends_at
    stay.save(update_fields=["until_at"])
