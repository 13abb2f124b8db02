"""Move animals: one action ends the old stay and begins the new at the same instant."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.constraints import promised
from core.models import User
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, Enclosure, Stay
from husbandry.queries.moves import destinations, mover, occupants
from husbandry.queries.returns import times_away_before
from husbandry.queries.stays import local_day_of
from husbandry.rules.returns import check_not_away
from husbandry.rules.stays import (
    Destination,
    EnclosureOccupiedError,
    MoveError,
    Places,
    check_instant,
    check_move,
    find_places,
)

LONGEST_REASON = 200
NOWHERE = Places(None, ())


def move_animal(
    *,
    animal: Animal,
    to: Enclosure | None,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> Stay | None:
    """Move an animal now: into an enclosure, or out of the one it is in.

    Args:
        animal: in care.
        to: where to; None: it is in no enclosure from now on.
        by: the person.
        at: now.
        reason: why, up to 200 characters.

    Returns:
        The stay that begins, or None.

    Raises:
        EnclosureOccupiedError: others live there and no company is allowed.
        MoveError: see `record_move`.
    """
    return record_move(animal=animal, to=to, moved_at=at, by=by, at=at, reason=reason)


@transaction.atomic
def record_move(
    *,
    animal: Animal,
    to: Enclosure | None,
    moved_at: datetime,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> Stay | None:
    """Record a move that was done earlier; reviews of nights since are marked stale.

    Args:
        animal: in care.
        to: where it went; None: out of its enclosure.
        moved_at: when it was moved.
        by: the person.
        at: now.
        reason: why, up to 200 characters.

    Returns:
        The stay that begins, or None.

    Raises:
        BreaksQuarantineError: it would leave quarantine without having been let out,
            or come to live with animals that are in quarantine.
        EnclosureOccupiedError: others live there from that instant on and the care
            profile allows no company, or a smaller group.
        MoveError: the instant is to come or not after the current stay began, the
            animal is not in care, is there already, or the enclosure is retired.
    """
    _check_reason(reason)
    # Locked in one order, so that two moves at once wait instead of failing; the
    # constraints hold in any case.
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    if to is not None:
        to = (
            Enclosure.objects.select_for_update(of=("self",))
            .select_related("room__site")
            .get(pk=to.pk)
        )
    on = _local_day(animal, to, moved_at)
    leaving = mover(animal=animal, on=on)
    destination = _destination(to, moved_at, on)
    check_move(leaving, to=destination, moved_on=on)
    check_instant(leaving, moved_at=moved_at, at=at)
    times = times_away_before(animal=animal, on=on)
    check_not_away(str(animal), on, times=times, error=MoveError, field="moved_at")
    places = NOWHERE
    if to is not None and destination is not None:
        others = occupants(enclosure=to, from_at=moved_at, on=on)
        places = find_places(leaving, to=destination, occupants=others)
    stay = Stay(animal=animal, place=places.mover, from_at=moved_at, moved_by=by)
    stay.reason = reason
    if moved_at < at:  # judged until now where it no longer was
        mark_animal_stale(animal=animal, since_at=moved_at, at=at)
    _write(stay, to, given=places.given)
    if moved_at < at:  # and not judged where it was
        mark_animal_stale(animal=animal, since_at=moved_at, at=at)
    audit.record(
        animal,
        verb="move_animal",
        by=by,
        at=at,
        before={"enclosure": leaving.enclosure_code or None},
        after={
            "enclosure": to.code if to else None,
            "place": places.mover,
            "moved_at": moved_at.isoformat(),
        },
        reason=reason,
    )
    return stay if to else None


def _check_reason(reason: str) -> None:
    if len(reason) > LONGEST_REASON:
        raise MoveError(
            f"The reason has {len(reason)} characters; at most {LONGEST_REASON} are "
            "kept.",
            fields={"reason": f"at most {LONGEST_REASON} characters"},
        )


def _local_day(animal: Animal, to: Enclosure | None, moved_at: datetime) -> date:
    if to is None:
        return local_day_of(animal=animal, at=moved_at)
    return moved_at.astimezone(ZoneInfo(to.room.site.time_zone)).date()


def _destination(
    to: Enclosure | None, moved_at: datetime, on: date
) -> Destination | None:
    if to is None:
        return None
    return destinations(enclosures=[to], from_at=moved_at, on=on)[to.pk]


def _write(
    stay: Stay, to: Enclosure | None, *, given: tuple[tuple[int, int], ...]
) -> None:
    """End the open stay, give places to who had the whole enclosure, begin the new."""
    label = str(stay.animal)
    elsewhere = MoveError(
        f"{label} was moved by somebody else at the same moment. Look where it is "
        "now, then move it again.",
        fields={"animal": "as it stands now"},
    )
    occupied = EnclosureOccupiedError(
        f"{to} was taken by another animal at the same moment. Choose an empty "
        "enclosure or move the occupant first.",
        fields={"to": "an empty enclosure"},
    )
    with promised(
        {
            "husbandry_stay_animal_in_one_place": elsewhere,
            "husbandry_stay_one_open": elsewhere,
            "husbandry_stay_in_order": elsewhere,
            "husbandry_stay_enclosure_not_shared": occupied,
        }
    ):
        Stay.objects.filter(animal=stay.animal, until_at__isnull=True).update(
            until_at=stay.from_at
        )
        for pk, place in given:
            Stay.objects.filter(pk=pk).update(place=place)
        if to is not None:
            stay.enclosure = to
            stay.save()
