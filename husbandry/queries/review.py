"""What the review of one night needs to know: gathered once, in few queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, Max, OuterRef, Q, QuerySet, Subquery

from core.models import Site
from core.zones import day_bounds
from husbandry.models import (
    Animal,
    Observation,
    ReproductiveSpell,
    Stay,
    TargetOverride,
    Weighing,
)
from husbandry.queries.animals import here_since, in_care_on
from husbandry.queries.mates import mates_elsewhere
from husbandry.queries.places import enclosures_on, probes_on, sight_lines_on
from husbandry.queries.policies import policies_in_force
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.clock import LocalDay
from husbandry.rules.night.facts import (
    AnimalFacts,
    NightFacts,
    ProfileFacts,
    StayFacts,
)
from husbandry.rules.policies import Policy, tuned
from husbandry.rules.profiles.resolving import Override
from husbandry.rules.vocabulary import (
    DatePrecision,
    ObservationKind,
    Period,
    Quantity,
    Reproduction,
    Sex,
    Zone,
)
from husbandry.rules.weights import (
    GravidSpell,
    WeighingPoint,
    longest_window_days,
)

SHEDS_SINCE = timedelta(days=90)
# A subquery of keys: a site may have more animals than SQLite takes parameters.
Ids = QuerySet[Animal, Any]
ANIMAL_COLUMNS = (
    *("pk", "code", "name", "species_id", "sex", "hatched_on"),
    *("hatched_precision", "dam_id", "sire_id", "last_site", "last_until"),
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
    day = local_day(site, on)
    animals = _animals_of(site, day)
    rows = list(
        animals.order_by("code").values(*ANIMAL_COLUMNS, here_since=here_since(on))
    )
    policies = policies_in_force(site=site, on=on)
    profiles = _profiles({row["species_id"] for row in rows}, on, policies.values())
    known = _Known(
        spells=_gravid_spells(animals.values("pk"), on),
        stays=_stays(site, day),
        overrides=_overrides(animals.values("pk"), day),
        weighings=_weighings(animals.values("pk"), day, profiles.values()),
        sheds=_sheds(animals.values("pk"), day, ZoneInfo(site.time_zone)),
    )
    return NightFacts(
        day=day,
        zone=ZoneInfo(site.time_zone),
        animals=tuple(_animal_facts(row, known, day, site) for row in rows),
        enclosures=enclosures_on(site=site, on=on),
        probes=probes_on(site=site, on=on),
        sight_lines=sight_lines_on(site=site, on=on),
        profiles=profiles,
        site_name=site.name,
        policies=policies,
        mates=mates_elsewhere(animals=animals, day=day),
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
    ).filter(here, in_care_on(day.on))


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


@dataclass(frozen=True, slots=True)
class _Known:
    """What is on record of the animals beside their own rows, by their keys."""

    spells: Mapping[int, list[GravidSpell]]
    stays: Mapping[int, list[StayFacts]]
    overrides: Mapping[int, list[Override]]
    weighings: Mapping[int, list[WeighingPoint]]
    sheds: Mapping[int, list[date]]


def _animal_facts(
    row: Mapping[str, Any], known: _Known, day: LocalDay, site: Site
) -> AnimalFacts:
    key = row["pk"]
    was_last_here = row["last_site"] == site.pk and _over(row["last_until"], day)
    gravid = tuple(known.spells.get(key, ()))
    return AnimalFacts(
        id=key,
        code=row["code"],
        name=row["name"],
        species=row["species_id"],
        sex=Sex(row["sex"]),
        hatched_on=row["hatched_on"],
        arrived_on=row["here_since"],
        reproduction=_state(gravid, day.on),
        gravid=gravid,
        stays=tuple(known.stays.get(key, ())),
        homeless=row["last_site"] is None or was_last_here,
        overrides=tuple(known.overrides.get(key, ())),
        weighings=tuple(known.weighings.get(key, ())),
        hatched_exactly=row["hatched_precision"] == DatePrecision.DAY.value,
        dam=row["dam_id"],
        sire=row["sire_id"],
        sheds=tuple(known.sheds.get(key, ())),
    )


def _over(until_at: datetime | None, day: LocalDay) -> bool:
    return until_at is not None and until_at < _moment(day.end_s)


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


def _state(spells: tuple[GravidSpell, ...], on: date) -> Reproduction:
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


def _weighings(
    ids: Ids, day: LocalDay, profiles: Iterable[ProfileFacts]
) -> dict[int, list[WeighingPoint]]:
    """Return what the weight rules look at.

    Their windows end with an animal's last weighing and may begin with one before
    them: so three times the longest window is read, and everything of those
    that were not weighed for longer than one.
    """
    corrected = Weighing.objects.filter(corrects=OuterRef("pk"))
    valid = Weighing.objects.filter(
        ~Exists(corrected), animal__in=ids, at__lt=_moment(day.end_s)
    )
    start = _moment(day.start_s)
    window = timedelta(
        days=max(
            (longest_window_days(p.profile.weight_policy) for p in profiles), default=0
        )
    )
    newest = valid.values("animal").annotate(newest=Max("at"))
    neglected = newest.filter(newest__lt=start - window).values("animal")
    rows = valid.filter(Q(at__gte=start - 3 * window) | Q(animal__in=neglected))
    found: dict[int, list[WeighingPoint]] = defaultdict(list)
    for pk, animal, at, mass_g in rows.order_by("at", "pk").values_list(
        "pk", "animal_id", "at", "mass_g"
    ):
        found[animal].append(WeighingPoint(id=pk, at=at, mass_g=mass_g))
    return found


def _sheds(ids: Ids, day: LocalDay, zone: ZoneInfo) -> dict[int, list[date]]:
    """Return on which days animals were seen to shed, as long as weights look back."""
    found: dict[int, list[date]] = defaultdict(list)
    for animal, at in (
        Observation.objects.filter(
            animal__in=ids,
            kind=ObservationKind.SHED.value,
            struck_at__isnull=True,
            at__gte=_moment(day.start_s) - SHEDS_SINCE,
            at__lt=_moment(day.end_s),
        )
        .order_by("at", "pk")
        .values_list("animal_id", "at")
    ):
        found[animal].append(at.astimezone(zone).date())
    return found


def _profiles(
    species: set[int], on: date, policies: Iterable[Policy]
) -> dict[int, ProfileFacts]:
    policies = tuple(policies)
    return {
        key: ProfileFacts(found.version, tuned(found.profile, policies))
        for key, found in profiles_in_force(species_ids=species, on=on).items()
    }
