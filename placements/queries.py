"""What is there in placements: packets read back, and what a new one is built from."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet

from core.errors import NotFoundError
from core.models import Organisation
from husbandry.models import (
    Animal,
    CareProfile,
    Conditions,
    Enclosure,
    Finding,
    ReproductiveSpell,
    Setup,
    Stay,
    TargetOverride,
    Weighing,
)
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.profiles.resolving import Override
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    EnclosureKind,
    FindingKind,
    Origin,
    Period,
    Quantity,
    Reproduction,
    Sex,
    SexBasis,
    Urgency,
    Zone,
)
from placements.models import Packet, Placement
from placements.rules.packets.building import FindingFacts, PacketFacts
from placements.rules.packets.documents import PacketDocument, read_document
from placements.rules.packets.histories import (
    AnimalLine,
    ConditionLine,
    MassPoint,
    ParentLine,
    StayLine,
)
from placements.rules.packets.needs import Needs, ProfileVersion
from placements.rules.packets.words import exact
from placements.rules.vocabulary import PlacementKind

CONDITIONS_BACK = timedelta(days=28)
HUNDREDTH = Decimal("0.01")
UTC_NAME = "UTC"


def load_packet(packet_id: int) -> PacketDocument:
    """Return a packet as frozen values, checked against the hash on record.

    Args:
        packet_id: primary key of the packet.

    Raises:
        NotFoundError: there is no such packet.
        PacketAlteredError: its content is not what was hashed.
    """
    packet = Packet.objects.filter(pk=packet_id).first()
    if packet is None:
        raise NotFoundError(f"There is no packet {packet_id}.")
    document = read_document(packet.snapshot, expected=packet.sha256)
    made_on = packet.made_at.astimezone(ZoneInfo(document.time_zone)).date()
    return PacketDocument(
        packet.number, packet.version, packet.sha256, made_on, document
    )


def placements() -> QuerySet[Placement]:
    """Return all placements with animal, home and packets, soonest first."""
    return (
        Placement.objects.select_related("animal__species", "home")
        .prefetch_related(
            Prefetch("packets", Packet.objects.defer("snapshot").order_by("version"))
        )
        .order_by("planned_on", "pk")
    )


def packets_of(placement: Placement) -> list[Packet]:
    """Return a placement's packets, first version first."""
    return list(placement.packets.order_by("version"))


def first_packets_of_year(*, series: str) -> int:
    """Return how many first versions carry a number of a year's series."""
    return Packet.objects.filter(version=1, number__startswith=series).count()


def packet_facts(*, placement: Placement, at: datetime) -> PacketFacts:
    """Gather everything that a packet is built from.

    Args:
        placement: of which animal, and on which day it is to leave.
        at: the history goes up to this instant; later records are left out.

    Returns:
        Frozen values, in a number of queries that does not depend on how much is
        on record.
    """
    animal = Animal.objects.select_related("species", "dam", "sire").get(
        pk=placement.animal_id
    )
    stays = _stays(animal, at)
    zone = ZoneInfo(stays[-1].enclosure.room.site.time_zone if stays else UTC_NAME)
    on = placement.handed_over_on or placement.planned_on
    known_until = at.astimezone(zone).date()
    organisation = Organisation.objects.first()
    return PacketFacts(
        on=on,
        known_until=known_until,
        time_zone=zone.key,
        kind=PlacementKind(placement.kind),
        keeper=organisation.name if organisation else "",
        keeper_contact=organisation.contact if organisation else "",
        animal=_animal(animal),
        needs=_needs(animal, on, at),
        profile=_profile(animal, on),
        stays=tuple(_stay(s, zone) for s in stays),
        weighings=_weighings(animal, at, zone),
        conditions=_conditions(stays, known_until, zone),
        findings=_findings(animal, stays, known_until, zone),
    )


def _stays(animal: Animal, at: datetime) -> list[Stay]:
    return list(
        Stay.objects.filter(animal=animal, from_at__lte=at)
        .select_related("enclosure__room__site")
        .prefetch_related(
            Prefetch("enclosure__setups", Setup.objects.order_by("from_on"))
        )
        .order_by("from_at")
    )


def _stay(stay: Stay, zone: ZoneInfo) -> StayLine:
    first, last = _local_days(stay, zone)
    setup = _setup_on(stay.enclosure, first)
    return StayLine(
        enclosure=stay.enclosure.code,
        kind=EnclosureKind(stay.enclosure.kind),
        room=stay.enclosure.room.name,
        from_on=first,
        until_on=last,
        width_cm=exact(setup.width_cm) if setup else None,
        depth_cm=exact(setup.depth_cm) if setup else None,
        height_cm=exact(setup.height_cm) if setup else None,
    )


def _local_days(stay: Stay, zone: ZoneInfo) -> tuple[date, date | None]:
    until_on = stay.until_at.astimezone(zone).date() if stay.until_at else None
    return stay.from_at.astimezone(zone).date(), until_on


def _setup_on(enclosure: Enclosure, on: date) -> Setup | None:
    standing = [s for s in enclosure.setups.all() if s.from_on <= on]
    return standing[-1] if standing else None


def _animal(animal: Animal) -> AnimalLine:
    return AnimalLine(
        code=animal.code,
        name=animal.name,
        species=animal.species.common_name,
        scientific_name=animal.species.scientific_name,
        sex=Sex(animal.sex),
        sex_basis=SexBasis(animal.sex_basis),
        sex_confidence=Confidence(animal.sex_confidence),
        hatched_on=animal.hatched_on,
        hatched_precision=DatePrecision(animal.hatched_precision),
        dam=_parent(animal.dam),
        sire=_parent(animal.sire),
        origin=Origin(animal.origin),
        arrived_on=animal.arrived_on,
        microchip=animal.microchip or "",
    )


def _parent(parent: Animal | None) -> ParentLine | None:
    return ParentLine(parent.code, parent.name) if parent else None


def _needs(animal: Animal, on: date, at: datetime) -> Needs:
    gravid = ReproductiveSpell.objects.filter(
        Q(until_on__isnull=True) | Q(until_on__gte=on),
        animal=animal,
        state=Reproduction.GRAVID.value,
        from_on__lte=on,
    ).exists()
    overrides = TargetOverride.objects.filter(
        animal=animal,
        from_on__lte=on,
        until_on__gte=on,
        made_at__lte=at,
        withdrawn_at__isnull=True,
    )
    return Needs(
        sex=Sex(animal.sex),
        hatched_on=animal.hatched_on,
        reproduction=Reproduction.GRAVID if gravid else Reproduction.RESTING,
        overrides=tuple(_override(o) for o in overrides.order_by("pk")),
    )


def _override(row: TargetOverride) -> Override:
    # Who agreed it stays here: a packet names no person (ADR 0004).
    return Override(
        id=row.pk,
        quantity=Quantity(row.quantity),
        zone=Zone(row.zone),
        period=Period(row.period),
        low=row.low,
        high=row.high,
        hard_low=row.hard_low,
        hard_high=row.hard_high,
        tolerated_minutes=row.tolerated_minutes,
        from_on=row.from_on,
        until_on=row.until_on,
        reason=row.reason,
        by="",
    )


def _profile(animal: Animal, on: date) -> ProfileVersion | None:
    found = profile_in_force(species_id=animal.species_id, on=on)
    if found is None:
        return None
    sha256 = CareProfile.objects.values_list("sha256", flat=True).get(pk=found.id)
    return ProfileVersion(found.version, sha256, found.profile)


def _weighings(animal: Animal, at: datetime, zone: ZoneInfo) -> tuple[MassPoint, ...]:
    rows = Weighing.objects.filter(
        animal=animal, at__lte=at, corrected_by__isnull=True
    ).order_by("at", "pk")
    return tuple(MassPoint(w.at.astimezone(zone).date(), exact(w.mass_g)) for w in rows)


def _conditions(
    stays: Iterable[Stay], known_until: date, zone: ZoneInfo
) -> tuple[ConditionLine, ...]:
    there = [(s.enclosure_id, *_local_days(s, zone)) for s in stays]
    rows = (
        Conditions.objects.filter(
            probe__enclosure__in={enclosure for enclosure, _, _ in there},
            on__gte=known_until - CONDITIONS_BACK,
            on__lte=known_until,
        )
        .select_related("probe")
        .order_by("on", "probe__zone", "period", "quantity", "probe", "band")
    )
    lines, told = [], set()
    for row in rows:
        # Where occupants have different bands, the first one's is shown.
        spot = (row.on, row.probe_id, row.period, row.quantity)
        was_there = any(
            enclosure == row.probe.enclosure_id
            and first <= row.on
            and (last is None or row.on <= last)
            for enclosure, first, last in there
        )
        if was_there and spot not in told:
            told.add(spot)
            lines.append(_condition(row))
    return tuple(lines)


def _condition(row: Conditions) -> ConditionLine:
    return ConditionLine(
        on=row.on,
        zone=Zone(row.probe.zone),
        period=Period(row.period),
        quantity=Quantity(row.quantity),
        covered_pct=round(100 * row.covered_s / row.expected_s)
        if row.expected_s
        else 0,
        mean=_rounded(row.mean),
        lowest=_rounded(row.lowest),
        highest=_rounded(row.highest),
        low=_rounded(row.low),
        high=_rounded(row.high),
        outside_minutes=round((row.below_s + row.above_s) / 60),
    )


def _rounded(value: float | None) -> Decimal | None:
    return None if value is None else exact(Decimal(str(value)).quantize(HUNDREDTH))


def _findings(
    animal: Animal, stays: list[Stay], known_until: date, zone: ZoneInfo
) -> tuple[FindingFacts, ...]:
    """Return what concerned the animal or an enclosure while it lived there."""
    there = Q(animal=animal)
    for stay in stays:
        first, last = _local_days(stay, zone)
        where = Q(enclosure=stay.enclosure_id) | Q(probe__enclosure=stay.enclosure_id)
        lasted = Q(last_seen_on__gte=first)
        if last is not None:
            lasted &= Q(opened_on__lte=last)
        there |= Q(animal__isnull=True) & where & lasted
    rows = Finding.objects.filter(
        there, withdrawn_on__isnull=True, opened_on__lte=known_until
    ).order_by("opened_on", "key", "pk")
    return tuple(
        FindingFacts(
            kind=FindingKind(f.kind),
            urgency=Urgency(f.urgency),
            opened_on=f.opened_on,
            last_seen_on=f.last_seen_on,
            closed_on=f.closed_on,
            nights=f.nights_seen,
            evidence=f.evidence,
        )
        for f in rows
    )
