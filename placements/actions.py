"""What we do in placements: plan, pack, hand over, call off."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.animals import mark_left
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Home, Packet, Placement
from placements.queries.facts import packet_facts
from placements.queries.packets import first_packets_of_year, packets_of
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import Document, digest, plain
from placements.rules.packets.numbering import first_number, series, version_number
from placements.rules.vocabulary import MOVES, PlacementKind, PlacementState

# Each collision means that somebody else's packet was written meanwhile.
MOST_TRIES = 50


class NotInCareError(DomainError):
    """Only an animal that is in care can be placed."""

    code = "not_in_care"


class AlreadyPlannedError(DomainError):
    """An animal has one planned placement at a time."""

    code = "already_planned"


class PlacementStateError(DomainError):
    """A placement does not stand where the verb needs it."""

    code = "placement_state"


class NoPacketError(DomainError):
    """An animal leaves with a packet or not at all."""

    code = "no_packet"


class PacketBusyError(DomainError):
    """Too many packets were made at the same moment."""

    code = "packet_busy"


@transaction.atomic
def add_home(
    *, name: str, contact: str, notes: str = "", by: User | None, at: datetime
) -> Home:
    """Record a household or organisation that animals may go to.

    Args:
        name: of the household, not empty.
        contact: address, telephone, e-mail.
        notes: anything else.
        by: the person.
        at: when.

    Raises:
        DomainError: the name is empty.
    """
    if not name.strip():
        raise DomainError("A home needs a name.", fields={"name": "Give a name."})
    home = Home.objects.create(name=name.strip(), contact=contact, notes=notes)
    # Names and addresses are personal data: they stay out of the audit trail.
    audit.record(home, verb="add_home", by=by, at=at)
    return home


@transaction.atomic
def plan_placement(
    *,
    animal: Animal,
    home: Home,
    kind: PlacementKind,
    planned_on: date,
    by: User | None,
    at: datetime,
) -> Placement:
    """Plan that an animal goes to a home on a day.

    Args:
        animal: in care, without another planned placement.
        home: where it goes.
        kind: in what way.
        planned_on: the day it is meant to leave, not before it arrived.
        by: the person.
        at: when.

    Raises:
        NotInCareError: the animal is not in care.
        AlreadyPlannedError: another placement of it is planned.
        DomainError: the day lies before its arrival.
    """
    _check_may_be_planned(animal, planned_on)
    try:
        with transaction.atomic():
            placement = Placement.objects.create(
                animal=animal,
                home=home,
                kind=kind.value,
                planned_on=planned_on,
                created_by=by,
                created_at=at,
            )
    except IntegrityError as error:
        raise AlreadyPlannedError(
            f"{animal} has a planned placement already. Hand it over or call it off "
            "first."
        ) from error
    after = audit.values(placement, "animal", "home", "kind", "planned_on")
    audit.record(placement, verb="plan_placement", by=by, at=at, after=after)
    return placement


def _check_may_be_planned(animal: Animal, planned_on: date) -> None:
    status = Animal.objects.values_list("status", flat=True).get(pk=animal.pk)
    if status != AnimalStatus.IN_CARE.value:
        raise NotInCareError(
            f"{animal} is {status.replace('_', ' ')}; only an animal in care can be "
            "placed."
        )
    if planned_on < animal.arrived_on:
        raise DomainError(
            f"{planned_on} lies before {animal} arrived on {animal.arrived_on}.",
            fields={"planned_on": f"Give a day from {animal.arrived_on} on."},
        )


@transaction.atomic
def make_packet(*, placement: Placement, by: User | None, at: datetime) -> Packet:
    """Build, freeze, number and hash the packet of a placement.

    Args:
        placement: planned, or handed over where a packet has to be corrected.
        by: the person.
        at: the history goes up to this instant.

    Returns:
        The packet. Where the newest version says the same already, that one;
        otherwise a new version, and the older ones stay as they are.

    Raises:
        PlacementStateError: the placement was called off.
        PacketBusyError: others took the number again and again.
    """
    _check_state(placement, PlacementState.PLANNED, PlacementState.HANDED_OVER)
    document = build_document(packet_facts(placement=placement, at=at))
    snapshot = plain(document)
    for _ in range(MOST_TRIES):
        before = packets_of(placement)
        if before and before[-1].sha256 == digest(snapshot):
            return before[-1]
        try:
            with transaction.atomic():
                return _store(placement, document, before, by=by, at=at)
        except IntegrityError:
            # Another packet took the number or the version meanwhile. Count again.
            continue
    raise PacketBusyError("Other packets are being made at this moment. Try again.")


def _store(
    placement: Placement,
    document: Document,
    before: list[Packet],
    *,
    by: User | None,
    at: datetime,
) -> Packet:
    snapshot = plain(document)
    if before:
        version = before[-1].version + 1
        number = version_number(before[0].number, version)
    else:
        year = at.astimezone(ZoneInfo(document.time_zone)).year
        version = 1
        number = first_number(year, first_packets_of_year(series=series(year)))
    packet = Packet.objects.create(
        placement=placement,
        number=number,
        version=version,
        snapshot=snapshot,
        sha256=digest(snapshot),
        made_by=by,
        made_at=at,
    )
    after = audit.values(packet, "placement", "number", "version", "sha256")
    audit.record(packet, verb="make_packet", by=by, at=at, after=after)
    return packet


@transaction.atomic
def hand_over(
    *, placement: Placement, on: date, by: User | None, at: datetime
) -> Placement:
    """Hand an animal over: its placement, its status and its stay change together.

    Args:
        placement: planned, with a packet.
        on: the local day it left.
        by: the person.
        at: when this was recorded.

    Raises:
        PlacementStateError: the placement is not planned.
        NoPacketError: no packet was made for it.
        DomainError: the animal cannot be marked as placed; see `mark_left`.
    """
    _check_state(placement, PlacementState.PLANNED)
    if not placement.packets.exists():
        raise NoPacketError(
            f"{placement.animal} has no packet yet. Make one; it goes with the animal."
        )
    _move(placement, PlacementState.HANDED_OVER, on=on)
    mark_left(animal=placement.animal, status=AnimalStatus.PLACED, on=on, by=by, at=at)
    after = audit.values(placement, "state", "handed_over_on")
    audit.record(placement, verb="hand_over", by=by, at=at, after=after)
    return placement


@transaction.atomic
def call_off(
    *, placement: Placement, reason: str, by: User | None, at: datetime
) -> Placement:
    """Call a planned placement off; the animal stays, its packets stay on record.

    Args:
        placement: planned.
        reason: why, for the audit trail.
        by: the person.
        at: when.

    Raises:
        PlacementStateError: the placement is not planned.
    """
    _check_state(placement, PlacementState.PLANNED)
    _move(placement, PlacementState.CALLED_OFF, on=None)
    after = audit.values(placement, "state")
    audit.record(placement, verb="call_off", by=by, at=at, after=after, reason=reason)
    return placement


def _check_state(placement: Placement, *wanted: PlacementState) -> None:
    placement.refresh_from_db(fields=["state", "planned_on", "handed_over_on"])
    if PlacementState(placement.state) not in wanted:
        words = " or ".join(state.value.replace("_", " ") for state in wanted)
        raise PlacementStateError(
            f"The placement of {placement.animal} is "
            f"{placement.state.replace('_', ' ')}; it has to be {words}."
        )


def _move(placement: Placement, to: PlacementState, *, on: date | None) -> None:
    """Change the state, if nobody else did meanwhile."""
    before = PlacementState(placement.state)
    changed = to in MOVES[before] and Placement.objects.filter(
        pk=placement.pk, state=before.value
    ).update(state=to.value, handed_over_on=on)
    if not changed:
        raise PlacementStateError(
            f"The placement of {placement.animal} changed meanwhile. Look at it again."
        )
    placement.state, placement.handed_over_on = to.value, on
