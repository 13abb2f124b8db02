"""What is known when an animal is to move: itself, and who lives where it goes."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, datetime

from django.db.models import Exists, OuterRef, Q, QuerySet

from husbandry.models import Animal, Enclosure, Quarantine, Stay
from husbandry.queries.animals import care_by_animal
from husbandry.queries.stays import current_stays, stays_from
from husbandry.rules.profiles.resolving import company_for
from husbandry.rules.profiles.values import CompanyRule
from husbandry.rules.stays import Destination, Mover, Occupant
from husbandry.rules.vocabulary import AnimalStatus


def mover(*, animal: Animal, on: date) -> Mover:
    """Return an animal as it stands before a move; four queries.

    Args:
        animal: the one that is to move.
        on: the local day of the move, whose profile and life stage hold.
    """
    current = current_stays(animal_ids=[animal.pk]).get(animal.pk)
    last_until_at = (
        Stay.objects.filter(animal=animal, until_at__isnull=False)
        .order_by("-until_at")
        .values_list("until_at", flat=True)
        .first()
    )
    return Mover(
        label=str(animal),
        species=animal.species_id,
        status=AnimalStatus(animal.status),
        enclosure=current.enclosure_id if current else None,
        enclosure_code=current.enclosure.code if current else "",
        since_at=current.from_at if current else None,
        last_until_at=last_until_at,
        company=_company([animal], on)[animal.pk],
        room=current.enclosure.room_id if current else None,
        in_quarantine=_kept_apart_beyond(on).filter(animal=animal).exists(),
    )


def destinations(
    *, enclosures: Collection[Enclosure], from_at: datetime, on: date
) -> dict[int, Destination]:
    """Return enclosures as animals may move into them, by key; two queries.

    Args:
        enclosures: where to; none asks for nothing.
        from_at: who had left the room by then does not live there.
        on: the local day of the move; quarantines that are over by then do not hold.
    """
    keys = [enclosure.pk for enclosure in enclosures]
    if not keys:
        return {}
    rooms = {
        pk: (room, name, keeps_apart)
        for pk, room, name, keeps_apart in Enclosure.objects.filter(
            pk__in=keys
        ).values_list("pk", "room_id", "room__name", "room__quarantine")
    }
    held: dict[int, set[str]] = defaultdict(set)
    for room, code in (
        Stay.objects.filter(
            Q(until_at__isnull=True) | Q(until_at__gt=from_at),
            Exists(_kept_apart_beyond(on).filter(animal=OuterRef("animal"))),
            enclosure__room__in={room for room, _, _ in rooms.values()},
        )
        .order_by("animal__code")
        .values_list("enclosure__room_id", "animal__code")
    ):
        held[room].add(code)
    return {
        e.pk: Destination(
            e.pk,
            e.code,
            e.retired_on,
            *rooms[e.pk],
            held=tuple(sorted(held[rooms[e.pk][0]])),
        )
        for e in enclosures
    }


def occupants(
    *, enclosure: Enclosure, from_at: datetime, on: date
) -> tuple[Occupant, ...]:
    """Return who lives in an enclosure beyond an instant; two queries.

    Args:
        enclosure: where.
        from_at: stays that ended by then do not count.
        on: the local day whose profiles and life stages hold.
    """
    stays = list(stays_from(enclosure=enclosure, from_at=from_at))
    company = _company([s.animal for s in stays], on)
    return tuple(
        Occupant(
            stay=s.pk,
            label=str(s.animal),
            species=s.animal.species_id,
            place=s.place,
            company=company[s.animal_id],
        )
        for s in stays
    )


def _kept_apart_beyond(on: date) -> QuerySet[Quarantine]:
    return Quarantine.objects.filter(Q(ended_on__isnull=True) | Q(ended_on__gt=on))


def _company(animals: Iterable[Animal], on: date) -> dict[int, CompanyRule | None]:
    return {
        animal_id: company_for(care.profile, care.stage_code) if care.profile else None
        for animal_id, care in care_by_animal(animals=animals, on=on).items()
    }
