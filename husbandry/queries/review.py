"""What the review of one night needs to know: gathered once, in few queries."""

from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Max, OuterRef, Q, QuerySet, Subquery

from core.models import Site
from core.zones import day_bounds
from husbandry.models import (
    Animal,
    ReproductiveSpell,
    Stay,
    TargetOverride,
    Weighing,
)
from husbandry.queries.places import enclosures_on, probes_on, sight_lines_on
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.clock import LocalDay
from husbandry.rules.night.facts import (
    AnimalFacts,
    NightFacts,
    ProfileFacts,
    StayFacts,
)
from husbandry.rules.profiles.resolving import Override
from husbandry.rules.vocabulary import (
    Period,
    Quantity,
    Reproduction,
    Sex,
    Zone,
)
from husbandry.rules.weights import GravidSpell, WeighingPoint

# Longer than any window of a weight rule. Windows end with the last weighing, so
# twice as long is read; of an animal not weighed for longer, everything is.
WINDOW = timedelta(days=120)
# A subquery of keys: a site may have more animals than SQLite takes parameters.
Ids = QuerySet[Animal, Any]
ANIMAL_COLUMNS = (
    "pk",
    "code",
    "name",
    "species_id",
    "sex",
    "hatched_on",
    "arrived_on",
    "last_site",
    "last_until",
)


def local_day(site: Site, on: date) -> LocalDay:
    """Return a site's calendar day in epoch seconds."""
    start_s, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    return LocalDay(on, start_s, end_s)


def night_facts(*, site: Site, on: date) -> NightFacts:
    """Gather all that is known of one site's local day, beside readings.

    Args:
        site: where.
        on: the local day.

    Returns:
        Frozen values. Animals are those that stayed in the site's enclosures on
        that day, and those in care without any enclosure whose last one was here
        (the first site answers for those that never had one). Set-ups, targets,
        overrides and states are those in force on that day; sex and hatch date
        are as known now.
    """
    zone = ZoneInfo(site.time_zone)
    day = local_day(site, on)
    animals = _animals_of(site, day)
    facts = _animal_facts(animals, _stays(site, day), day)
    return NightFacts(
        day=day,
        zone=zone,
        animals=facts,
        enclosures=enclosures_on(site=site, on=on),
        probes=probes_on(site=site, on=on),
        sight_lines=sight_lines_on(site=site, on=on),
        profiles=_profiles({a.species for a in facts}, on),
    )


def _moment(epoch_s: int) -> datetime:
    return datetime.fromtimestamp(epoch_s, UTC)


def _animals_of(site: Site, day: LocalDay) -> QuerySet[Animal]:
    until = _moment(day.end_s)
    last = Stay.objects.filter(animal=OuterRef("pk"), from_at__lt=until)
    last_site = last.order_by("-from_at").values("enclosure__room__site")[:1]
    here = Q(last_site=site.pk) | Q(pk__in=_overlapping(site, day).values("animal"))
    if site == Site.objects.earliest("pk"):
        here |= Q(last_site__isnull=True)
    return Animal.objects.annotate(
        last_site=Subquery(last_site),
        last_until=Subquery(last.order_by("-from_at").values("until_at")[:1]),
    ).filter(
        here,
        Q(left_on__isnull=True) | Q(left_on__gt=day.on),
        arrived_on__lte=day.on,
    )


def _overlapping(site: Site, day: LocalDay) -> QuerySet[Stay]:
    return Stay.objects.filter(
        Q(until_at__isnull=True) | Q(until_at__gt=_moment(day.start_s)),
        enclosure__room__site=site,
        from_at__lt=_moment(day.end_s),
    )


def _stays(site: Site, day: LocalDay) -> dict[int, list[StayFacts]]:
    found: dict[int, list[StayFacts]] = defaultdict(list)
    for animal, enclosure, from_at, until_at in (
        _overlapping(site, day)
        .order_by("from_at")
        .values_list("animal_id", "enclosure_id", "from_at", "until_at")
    ):
        from_s = max(int(from_at.timestamp()), day.start_s)
        until_s = min(int(until_at.timestamp()), day.end_s) if until_at else day.end_s
        found[animal].append(StayFacts(enclosure, from_s, until_s))
    return found


def _animal_facts(
    animals: QuerySet[Animal], stays: dict[int, list[StayFacts]], day: LocalDay
) -> tuple[AnimalFacts, ...]:
    ids = animals.values("pk")
    spells = _gravid_spells(ids, day.on)
    overrides = _overrides(ids, day)
    weighings = _weighings(ids, day)
    end = _moment(day.end_s)
    return tuple(
        AnimalFacts(
            id=pk,
            code=code,
            name=name,
            species=species,
            sex=Sex(sex),
            hatched_on=hatched_on,
            arrived_on=arrived_on,
            reproduction=_state(spells.get(pk, []), day.on),
            gravid=tuple(spells.get(pk, ())),
            stays=tuple(stays.get(pk, ())),
            homeless=last_site is None or (last_until is not None and last_until < end),
            overrides=tuple(overrides.get(pk, ())),
            weighings=tuple(weighings.get(pk, ())),
        )
        for (
            pk,
            code,
            name,
            species,
            sex,
            hatched_on,
            arrived_on,
            last_site,
            last_until,
        ) in animals.order_by("code").values_list(*ANIMAL_COLUMNS)
    )


def _gravid_spells(ids: Ids, on: date) -> dict[int, list[GravidSpell]]:
    found: dict[int, list[GravidSpell]] = defaultdict(list)
    for animal, from_on, until_on in (
        ReproductiveSpell.objects.filter(
            animal__in=ids, from_on__lte=on, state=Reproduction.GRAVID.value
        )
        .order_by("from_on")
        .values_list("animal_id", "from_on", "until_on")
    ):
        found[animal].append(GravidSpell(from_on, until_on))
    return found


def _state(spells: list[GravidSpell], on: date) -> Reproduction:
    held = any(s.until_on is None or s.until_on >= on for s in spells)
    return Reproduction.GRAVID if held else Reproduction.RESTING


def _overrides(ids: Ids, day: LocalDay) -> dict[int, list[Override]]:
    found: dict[int, list[Override]] = defaultdict(list)
    rows = TargetOverride.objects.filter(
        Q(withdrawn_at__isnull=True) | Q(withdrawn_at__gte=_moment(day.end_s)),
        animal__in=ids,
        from_on__lte=day.on,
        until_on__gte=day.on,
    ).select_related("made_by")
    for row in rows.order_by("made_at", "pk"):
        found[row.animal_id].append(override_value(row))
    return found


def override_value(row: TargetOverride) -> Override:
    """Return one animal's agreed target as the rules read it."""
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
        by=str(row.made_by or ""),
    )


def _weighings(ids: Ids, day: LocalDay) -> dict[int, list[WeighingPoint]]:
    valid = Weighing.objects.filter(
        animal__in=ids, corrected_by__isnull=True, at__lt=_moment(day.end_s)
    )
    start = _moment(day.start_s)
    newest = valid.values("animal").annotate(newest=Max("at"))
    neglected = newest.filter(newest__lt=start - WINDOW).values("animal")
    rows = valid.filter(Q(at__gte=start - 2 * WINDOW) | Q(animal__in=neglected))
    found: dict[int, list[WeighingPoint]] = defaultdict(list)
    for pk, animal, at, mass_g in rows.order_by("at", "pk").values_list(
        "pk", "animal_id", "at", "mass_g"
    ):
        found[animal].append(WeighingPoint(id=pk, at=at, mass_g=mass_g))
    return found


def _profiles(species: set[int], on: date) -> dict[int, ProfileFacts]:
    return {
        key: ProfileFacts(version=found.version, profile=found.profile)
        for key, found in profiles_in_force(species_ids=species, on=on).items()
    }
