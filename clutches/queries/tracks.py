"""How warm eggs were since laying: where they were, and what was measured there."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q

from clutches.models import Clutch, Egg, EggPlace
from clutches.queries.incubator_hours import Key, Spells, stitched
from clutches.queries.legs import leg_of, stays_of_boxes
from clutches.rules.facts import EggGroup, PastClutch, Track
from clutches.rules.forecasting.spells import (
    Leg,
    Way,
    majority_spells,
    through_boxes,
)
from clutches.rules.vocabulary import EggState
from core.zones import day_bounds
from husbandry.rules.clock import LocalDay

MOST_PAST = 100
"""So many clutches of a species, the newest, say all that older ones could add."""


def box_spells(
    *, groups: Collection[EggGroup], day: LocalDay, zone: ZoneInfo
) -> dict[Key, Spells]:
    """Return in which incubator each group of eggs was since laying; two queries.

    Args:
        groups: as at the end of the day.
        day: the local day; moves after its end do not count.
        zone: of the site.

    Returns:
        By (clutch, box), from the beginning of the day of laying until the end of the
        day, without gaps: where most of the eggs were that lie there at its end. The
        spell that still held then has no end.
    """
    lay = _laid_in({group.clutch for group in groups}, before_s=day.end_s)
    stays = stays_of_boxes({leg.place for legs in lay.values() for leg in legs})
    ways: dict[Key, Counter[Way]] = defaultdict(Counter)
    for (clutch, _), legs in lay.items():
        lies = _lying_at(legs, day.end_s)
        if lies is not None:
            ways[clutch, lies][through_boxes(legs, stays)] += 1
    return {
        key: majority_spells(
            ways.get(key, {}),
            from_s=day_bounds(group.laid_on, zone=zone)[0],
            until_s=day.end_s,
        )
        for group in groups
        for key in [(group.clutch, group.box)]
    }


def tracks_of(
    *, groups: Collection[EggGroup], spells: Mapping[Key, Spells], until_s: int
) -> dict[Key, Track]:
    """Return how warm each group of eggs was; two queries, however many.

    Args:
        groups: which.
        spells: of each, as `box_spells` returns them.
        until_s: epoch second until which hours are wanted.

    Returns:
        By (clutch, box); NaN while it was in no incubator, or nobody measured there.
        Of several probes among the eggs the mean; where an incubator has none there,
        of all that are in it.
    """
    wanted = {
        key: spells[key]
        for group in groups
        for key in [(group.clutch, group.box)]
        if spells.get(key)
    }
    return stitched(wanted={key: (found, until_s) for key, found in wanted.items()})


def past_clutches(
    *, species_ids: Collection[int], before: date
) -> tuple[PastClutch, ...]:
    """Return clutches that hatched, with how warm they were; six queries at most.

    Args:
        species_ids: of which species; clutches of all sites count.
        before: local day of each clutch's site; eggs that ended on it or later
            had not ended then.

    Returns:
        Oldest first; of each species the newest hundred. Those of which an egg
        still incubated then, or none hatched, are left out.
    """
    clutches = _newest(_hatched_clutches(species_ids, before))
    hatched = _hatched_eggs([clutch.pk for clutch in clutches])
    lay = _laid_in(hatched, before_s=None)
    stays = stays_of_boxes({leg.place for legs in lay.values() for leg in legs})
    ways: dict[int, Counter[Way]] = defaultdict(Counter)
    for (clutch, egg), legs in lay.items():
        if egg in hatched[clutch]:
            ways[clutch][through_boxes(_staying(legs), stays)] += 1
    windows = {c.pk: _from_until(c, hatched[c.pk]) for c in clutches}
    tracks = stitched(
        wanted={
            (key, 0): (majority_spells(ways[key], from_s=start, until_s=end), end)
            for key, (start, end) in windows.items()
        }
    )
    return tuple(
        PastClutch(
            clutch=clutch.pk,
            clutch_code=clutch.code,
            species=clutch.species_id,
            laid_on=clutch.laid_on,
            hatch_days=tuple(
                sorted((on - clutch.laid_on).days for on in hatched[clutch.pk].values())
            ),
            track=tracks[clutch.pk, 0],
        )
        for clutch in clutches
    )


def clutch_track(*, clutch: Clutch, until_s: int) -> Track:
    """Return how warm a clutch was, whatever became of its eggs; five queries.

    Args:
        clutch: with its site fetched.
        until_s: epoch second until which hours are wanted.

    Returns:
        Where most of its eggs were, but for those that failed; NaN where nobody knows.
    """
    eggs = set(
        Egg.objects.filter(clutch=clutch)
        .exclude(state=EggState.FAILED.value)
        .values_list("pk", flat=True)
    )
    lay = _laid_in([clutch.pk], before_s=until_s)
    stays = stays_of_boxes({leg.place for legs in lay.values() for leg in legs})
    ways = Counter(
        through_boxes(_staying(legs), stays)
        for (_, egg), legs in lay.items()
        if egg in eggs
    )
    start_s = day_bounds(clutch.laid_on, zone=ZoneInfo(clutch.site.time_zone))[0]
    spells = majority_spells(ways, from_s=start_s, until_s=until_s)
    return stitched(wanted={(clutch.pk, 0): (spells, until_s)})[clutch.pk, 0]


def _hatched_clutches(species_ids: Collection[int], before: date) -> Sequence[Clutch]:
    eggs = Egg.objects.filter(clutch=OuterRef("pk"))
    open_ = eggs.filter(Q(ended_on__isnull=True) | Q(ended_on__gte=before))
    hatched = eggs.filter(state=EggState.HATCHED.value, ended_on__lt=before)
    return list(
        Clutch.objects.filter(Exists(hatched), ~Exists(open_), species__in=species_ids)
        .select_related("site")
        .order_by("laid_on", "code")
    )


def _newest(clutches: Sequence[Clutch]) -> list[Clutch]:
    by_species: dict[int, list[Clutch]] = defaultdict(list)
    for clutch in clutches:
        by_species[clutch.species_id].append(clutch)
    kept = {c.pk for rows in by_species.values() for c in rows[-MOST_PAST:]}
    return [clutch for clutch in clutches if clutch.pk in kept]


def _hatched_eggs(clutch_ids: Collection[int]) -> dict[int, dict[int, date]]:
    """Return by clutch on which day each of its eggs hatched; one query."""
    found: dict[int, dict[int, date]] = defaultdict(dict)
    rows = Egg.objects.filter(clutch__in=clutch_ids, state=EggState.HATCHED.value)
    told = rows.order_by().values_list("clutch_id", "pk", "ended_on")
    for clutch, egg, on in ((c, e, on) for c, e, on in told if on is not None):
        found[clutch][egg] = on
    return found


def _from_until(clutch: Clutch, hatched: Mapping[int, date]) -> tuple[int, int]:
    zone = ZoneInfo(clutch.site.time_zone)
    last_on = max([*hatched.values(), clutch.laid_on])
    return (
        day_bounds(clutch.laid_on, zone=zone)[0],
        day_bounds(last_on, zone=zone)[1],
    )


def _laid_in(
    clutch_ids: Collection[int], *, before_s: int | None
) -> dict[Key, list[Leg]]:
    """Return by (clutch, egg) in which boxes it lay, in order; one query."""
    rows = EggPlace.objects.filter(egg__clutch__in=clutch_ids)
    if before_s is not None:
        rows = rows.filter(from_at__lt=datetime.fromtimestamp(before_s, tz=UTC))
    found: dict[Key, list[Leg]] = defaultdict(list)
    for clutch, egg, box, from_at, until_at in rows.order_by("from_at").values_list(
        "egg__clutch_id", "egg_id", "box_id", "from_at", "until_at"
    ):
        found[clutch, egg].append(leg_of(box, from_at, until_at))
    return found


def _staying(legs: Sequence[Leg]) -> list[Leg]:
    """Return where an egg lay, the last box for good: others went on lying there.

    What hatched left its box, and must not count as an egg that lay in none.
    """
    return [*legs[:-1], *(replace(leg, until_s=None) for leg in legs[-1:])]


def _lying_at(legs: Iterable[Leg], at_s: int) -> int | None:
    """Return the box in which an egg lay just before an instant."""
    for leg in legs:
        if leg.from_s < at_s and (leg.until_s is None or leg.until_s >= at_s):
            return leg.place
    return None
