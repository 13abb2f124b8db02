"""What a new packet is built from, gathered once."""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from clutches.queries.origins import origin_of
from core.models import Organisation
from husbandry.models import (
    Animal,
    CareProfile,
    Weighing,
)
from husbandry.queries.animals import reproduction_on
from husbandry.queries.needs import overrides_on
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)
from placements.models import Placement
from placements.queries.backgrounds import background_of
from placements.queries.care_on_record import care_on_record
from placements.queries.conditions import condition_lines
from placements.queries.findings import finding_facts
from placements.queries.kin import mate_bands_of
from placements.queries.leaving import leaving_of
from placements.queries.stays import stay_lines, stays_of
from placements.rules.packets.facts import PacketFacts
from placements.rules.packets.histories import (
    AnimalLine,
    MassPoint,
    ParentLine,
    SireLine,
)
from placements.rules.packets.needs import Needs, ProfileVersion
from placements.rules.packets.words import exact
from placements.rules.vocabulary import PlacementKind

UTC_NAME = "UTC"


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
    stays = stays_of(animal, until=at)
    zone = ZoneInfo(stays[-1].enclosure.room.site.time_zone if stays else UTC_NAME)
    on = placement.handed_over_on or placement.planned_on
    known_until = at.astimezone(zone).date()
    organisation = Organisation.objects.first()
    profile = _profile(animal, on)
    mates = mate_bands_of(
        animal=animal, profile=profile.profile if profile else None, at=at, zone=zone
    )
    return PacketFacts(
        on=on,
        known_until=known_until,
        time_zone=zone.key,
        kind=PlacementKind(placement.kind),
        keeper=organisation.name if organisation else "",
        keeper_contact=organisation.contact if organisation else "",
        animal=_animal(animal),
        needs=_needs(animal, on, at),
        profile=profile,
        stays=stay_lines(stays, zone=zone),
        weighings=_weighings(animal, at, zone),
        conditions=condition_lines(stays, until=known_until, zone=zone),
        findings=finding_facts(animal, stays, until=known_until, zone=zone),
        background=background_of(animal=animal, mates=mates, at=at, zone=zone),
        care=care_on_record(animal=animal, on=on, at=at, zone=zone),
        leaving=leaving_of(placement=placement, stays=stays, at=at, zone=zone),
    )


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
        may_be_sires=tuple(
            SireLine(c.code, c.name, _percent(c.probability))
            for c in origin_of(animal=animal).candidates
        ),
    )


def _percent(share: Decimal) -> Decimal:
    return (100 * share).quantize(Decimal(1))


def _parent(parent: Animal | None) -> ParentLine | None:
    return ParentLine(parent.code, parent.name) if parent else None


def _needs(animal: Animal, on: date, at: datetime) -> Needs:
    # Who agreed it stays here: a packet names no person (ADR 0004).
    agreed = overrides_on(animal=animal, on=on, at=at)
    return Needs(
        sex=Sex(animal.sex),
        hatched_on=animal.hatched_on,
        reproduction=reproduction_on(animal=animal, on=on),
        overrides=tuple(replace(override, by="") for override in agreed),
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
