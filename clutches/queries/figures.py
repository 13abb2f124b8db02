"""Rows that breeding figures are counted from; as many queries for many as for one."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery

from clutches.models import CandidateSire, Clutch, Egg, EggCheck, Hatchling
from clutches.queries.egg_warmth import NOWHERE, EggWarmth, egg_warmth
from clutches.rules.figures.facts import (
    BreedingRows,
    ClutchRow,
    EggRow,
    HatchlingRow,
)
from clutches.rules.vocabulary import Candled, EggState, FailureCause
from core.zones import day_bounds
from husbandry.models import Animal, Weighing
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.vocabulary import AnimalStatus, Confidence, DatePrecision, Sex

# A mass of so many days after hatching is still that of a hatchling.
WEIGHED_WITHIN = timedelta(days=3)
SEEN_FERTILE = (Candled.VESSELS.value, Candled.DARK.value)


@dataclass(frozen=True, slots=True)
class Asked:
    """Which clutches figures are asked of; None and "" leave all in.

    Attributes:
        from_year, until_year: of laying or birth, both included.
    """

    species: str = ""
    site: str = ""
    from_year: int | None = None
    until_year: int | None = None


def breeding_rows(*, asked: Asked, at: datetime) -> BreedingRows:
    """Return what became of clutches, eggs and hatchlings; eleven queries at most.

    Args:
        asked: which clutches.
        at: now; eggs and animals that have not ended are watched until the local day
            that holds it.
    """
    # Not by lists of keys: they would be longer than SQLite takes everywhere.
    these = _clutches(asked)
    clutches = list(
        these.select_related("species", "site", "dam").order_by("laid_on", "code")
    )
    by_key = {clutch.pk: clutch for clutch in clutches}
    found = Egg.objects.filter(clutch__in=these).order_by("clutch", "number")
    eggs = [egg for egg in found if egg.clutch_id in by_key]
    warmth = egg_warmth(clutches=these, lives=_lives(eggs, by_key, at))
    hatchlings = _hatchlings(these, by_key, warmth, at)
    of_egg = {young.egg_id: young.animal_id for young, _ in hatchlings if young.egg_id}
    fertile = _seen_fertile(these)
    sires = _sires(these)
    by_warmth = _by_warmth({clutch.species_id for clutch in clutches}, at)
    return BreedingRows(
        clutches=tuple(
            _clutch_row(
                clutch, sires[clutch.pk], by_warmth=clutch.species_id in by_warmth
            )
            for clutch in clutches
        ),
        eggs=tuple(
            _egg_row(egg, warmth.get(egg.pk, NOWHERE), of_egg, fertile) for egg in eggs
        ),
        hatchlings=tuple(row for _, row in hatchlings),
    )


def _clutches(asked: Asked) -> QuerySet[Clutch]:
    rows = Clutch.objects.all()
    if asked.species:
        rows = rows.filter(species__code=asked.species)
    if asked.site:
        rows = rows.filter(site__code=asked.site)
    if asked.from_year is not None:
        rows = rows.filter(laid_on__year__gte=asked.from_year)
    if asked.until_year is not None:
        rows = rows.filter(laid_on__year__lte=asked.until_year)
    return rows


def _clutch_row(clutch: Clutch, sires: list[str], *, by_warmth: bool) -> ClutchRow:
    return ClutchRow(
        id=clutch.pk,
        code=clutch.code,
        species=clutch.species.code,
        site=clutch.site.code,
        laid_on=clutch.laid_on,
        dam=clutch.dam.code if clutch.dam else "",
        sires=tuple(sires),
        eggs_set=clutch.eggs_set,
        infertile=clutch.eggs_infertile,
        broken=clutch.eggs_broken,
        born_alive=clutch.born_alive,
        born_dead=clutch.born_dead,
        by_warmth=by_warmth,
    )


def _by_warmth(species: Collection[int], at: datetime) -> set[int]:
    """Return the species of which sexes by warmth are published."""
    profiles = profiles_in_force(species_ids=species, on=at.date())
    return {pk for pk, version in profiles.items() if version.profile.sex_ratios}


def _sires(clutches: QuerySet[Clutch]) -> Mapping[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = CandidateSire.objects.filter(clutch__in=clutches).order_by("sire__code")
    for clutch, code in rows.values_list("clutch_id", "sire__code"):
        if clutch is not None:
            found[clutch].append(code)
    return found


def _seen_fertile(clutches: QuerySet[Clutch]) -> set[int]:
    rows = EggCheck.objects.filter(
        egg__clutch__in=clutches, struck_at__isnull=True, seen__in=SEEN_FERTILE
    )
    return set(rows.order_by().values_list("egg_id", flat=True).distinct())


def _lives(
    eggs: Collection[Egg], clutches: Mapping[int, Clutch], at: datetime
) -> dict[int, tuple[int, int]]:
    """Return from when until when each egg incubated, whole local days."""
    known: dict[tuple[str, date], tuple[int, int]] = {}

    def bounds(zone: str, on: date) -> tuple[int, int]:
        if (zone, on) not in known:
            known[zone, on] = day_bounds(on, zone=ZoneInfo(zone))
        return known[zone, on]

    lives = {}
    for egg in eggs:
        clutch = clutches[egg.clutch_id]
        zone = clutch.site.time_zone
        last_on = egg.ended_on or at.astimezone(ZoneInfo(zone)).date()
        start_s, _ = bounds(zone, clutch.laid_on)
        _, end_s = bounds(zone, max(last_on, clutch.laid_on))
        lives[egg.pk] = (start_s, end_s)
    return lives


def _egg_row(
    egg: Egg, warmth: EggWarmth, of_egg: Mapping[int, int], fertile: set[int]
) -> EggRow:
    return EggRow(
        clutch=egg.clutch_id,
        number=egg.number,
        state=EggState(egg.state),
        pipped_on=egg.pipped_on,
        ended_on=egg.ended_on,
        cause=FailureCause(egg.cause) if egg.cause else None,
        vessels=egg.pk in fertile,
        box=warmth.box,
        incubator=warmth.incubator,
        mean_c=warmth.mean_c,
        measured=warmth.measured,
        hatchling=of_egg.get(egg.pk),
    )


def _hatchlings(
    these: QuerySet[Clutch],
    clutches: Mapping[int, Clutch],
    warmth: Mapping[int, EggWarmth],
    at: datetime,
) -> list[tuple[Hatchling, HatchlingRow]]:
    corrected = Weighing.objects.filter(corrects=OuterRef("pk"))
    first = Weighing.objects.filter(
        ~Exists(corrected), animal=OuterRef("animal")
    ).order_by("at")
    rows = (
        Hatchling.objects.filter(clutch__in=these)
        .select_related("animal")
        .annotate(
            first_g=Subquery(first.values("mass_g")[:1]),
            first_at=Subquery(first.values("at")[:1]),
            code=F("animal__code"),
        )
        .order_by("clutch", "code")
    )
    found: list[tuple[Hatchling, HatchlingRow]] = []
    for row in rows:
        # A clutch that was written down since the first question is left out.
        if row.clutch_id in clutches:
            zone = ZoneInfo(clutches[row.clutch_id].site.time_zone)
            found.append((row, _hatchling_row(row, warmth, zone, at)))
    return found


def _hatchling_row(
    row: Hatchling, warmth: Mapping[int, EggWarmth], zone: ZoneInfo, at: datetime
) -> HatchlingRow:
    animal = row.animal
    hatched_on = _hatched_on(animal)
    until_on = animal.left_on or at.astimezone(zone).date()
    lay = warmth.get(row.egg_id or 0, NOWHERE)
    first_at: datetime | None = row.first_at  # type: ignore[attr-defined]  # annotated
    fresh = (
        first_at is not None
        and hatched_on is not None
        and first_at.astimezone(zone).date() - hatched_on <= WEIGHED_WITHIN
    )
    return HatchlingRow(
        id=animal.pk,
        code=animal.code,
        clutch=row.clutch_id,
        hatched_on=hatched_on,
        sex=Sex(animal.sex),
        confidence=Confidence(animal.sex_confidence),
        status=AnimalStatus(animal.status),
        watched_days=max((until_on - hatched_on).days, 0) if hatched_on else None,
        mass_g=row.first_g if fresh else None,  # type: ignore[attr-defined]  # annotated
        incubator=lay.incubator,
        mean_c=lay.mean_c,
        measured=lay.measured,
    )


def _hatched_on(animal: Animal) -> date | None:
    """Return the day of hatching; a month or a year is not enough to count days."""
    exact = animal.hatched_precision == DatePrecision.DAY
    return animal.hatched_on if exact else None
