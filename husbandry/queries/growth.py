"""How one animal grows, from all that is on record of it and its clutch-mates."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Q

from husbandry.models import Animal, Measuring, Observation, ReproductiveSpell
from husbandry.queries.policies import policies_in_force
from husbandry.queries.profiles import ProfileVersion, profile_in_force
from husbandry.queries.stays import site_of
from husbandry.queries.weights import weighings_by_animal
from husbandry.rules.growth.condition import LengthPoint
from husbandry.rules.growth.pictures import Growth, growth_picture
from husbandry.rules.growth.recorded import GrowthRecord, Recorded
from husbandry.rules.policies import tuned
from husbandry.rules.profiles.values import GrowthPolicy
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DatePrecision,
    ObservationKind,
    Observed,
    Reproduction,
    Sex,
)
from husbandry.rules.weights import GravidSpell, WeighingPoint

Points = dict[int, tuple[WeighingPoint, ...]]


@dataclass(frozen=True, slots=True)
class GrowthOf:
    """How one animal grows, and by which version of its care profile that is judged.

    Attributes:
        version: None: none is published.
    """

    growth: Growth
    version: ProfileVersion | None


def growth_of(
    *, animal: Animal, at: datetime, mass_g: Decimal | None = None
) -> GrowthOf:
    """Return how one animal grows; at most eight queries, however many mates it has.

    Args:
        animal: which; it may have left.
        at: now. Its site is where it is, or was last before.
        mass_g: above 0; the age at it is projected.

    Returns:
        Frozen values: by the care profile as its site has set the limits, with the
        weighings in force, and with every clutch-mate on record at any site, also
        those that left.

    Raises:
        ValueError: the mass is not a number above 0.
    """
    site = site_of(animal=animal, at=at)
    zone = ZoneInfo(site.time_zone if site else "UTC")
    on = at.astimezone(zone).date()
    policies = policies_in_force(site=site, on=on) if site else {}
    version = profile_in_force(species_id=animal.species_id, on=on)
    profile = tuned(version.profile, policies.values()) if version else None
    mates = _mates(animal, profile.growth_policy if profile else None)
    points = weighings_by_animal(
        animal_ids=[animal.pk, *(m.pk for m in mates)], until_at=at
    )
    shed_on, laid_on = _seen_on(animal, at, zone)
    record = GrowthRecord(
        animal=_recorded(animal, points),
        mates=tuple(_recorded(mate, points) for mate in mates),
        lengths=_lengths(animal, at),
        gravid=_gravid(animal, on),
        laid_on=laid_on,
        shed_on=shed_on,
    )
    growth = growth_picture(
        record, profile=profile, policies=policies, on=on, zone=zone, mass_g=mass_g
    )
    return GrowthOf(growth, version)


def _mates(animal: Animal, policy: GrowthPolicy | None) -> Sequence[Animal]:
    """Return who may be a clutch-mate; which sires are alike is a rule's to say."""
    if policy is None or animal.dam_id is None or animal.hatched_on is None:
        return ()
    within = timedelta(days=policy.mates_within_days)
    return tuple(
        Animal.objects.filter(
            dam=animal.dam_id,
            hatched_precision=DatePrecision.DAY.value,
            hatched_on__range=(animal.hatched_on - within, animal.hatched_on + within),
        )
        .exclude(pk=animal.pk)
        .order_by("code")
    )


def _recorded(animal: Animal, points: Points) -> Recorded:
    exactly = animal.hatched_precision == DatePrecision.DAY.value
    return Recorded(
        id=animal.pk,
        code=animal.code,
        label=str(animal),
        sex=Sex(animal.sex),
        hatched_on=animal.hatched_on if exactly else None,
        hatched_about=animal.hatched_on,
        dam=animal.dam_id,
        sire=animal.sire_id,
        arrived_on=animal.arrived_on,
        in_care=animal.status == AnimalStatus.IN_CARE.value,
        weighings=points.get(animal.pk, ()),
    )


def _lengths(animal: Animal, at: datetime) -> tuple[LengthPoint, ...]:
    rows = Measuring.objects.filter(
        animal=animal, struck_at__isnull=True, snout_vent_cm__isnull=False, at__lte=at
    )
    return tuple(
        LengthPoint(measured_at, length_cm)
        for measured_at, length_cm in rows.order_by("at", "pk").values_list(
            "at", "snout_vent_cm"
        )
        if length_cm is not None
    )


def _gravid(animal: Animal, on: date) -> tuple[GravidSpell, ...]:
    rows = ReproductiveSpell.objects.filter(
        animal=animal, state=Reproduction.GRAVID.value, from_on__lte=on
    )
    return tuple(
        GravidSpell(from_on, until_on)
        for from_on, until_on in rows.order_by("from_on").values_list(
            "from_on", "until_on"
        )
    )


def _seen_on(
    animal: Animal, at: datetime, zone: ZoneInfo
) -> tuple[tuple[date, ...], tuple[date, ...]]:
    """Return the days on which it shed, and those on which it finished laying."""
    shed, laying = ObservationKind.SHED.value, ObservationKind.LAYING.value
    rows = Observation.objects.filter(
        Q(kind=shed) | Q(kind=laying, observed=Observed.FINISHED.value),
        animal=animal,
        struck_at__isnull=True,
        at__lte=at,
    )
    found = list(rows.order_by("at", "pk").values_list("kind", "at"))
    return (
        _days((seen_at for kind, seen_at in found if kind == shed), zone),
        _days((seen_at for kind, seen_at in found if kind == laying), zone),
    )


def _days(instants: Iterable[datetime], zone: ZoneInfo) -> tuple[date, ...]:
    return tuple(dict.fromkeys(at.astimezone(zone).date() for at in instants))
