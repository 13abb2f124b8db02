"""Clutches as people list them, and what is on record of what came of one."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Count

from clutches.models import Clutch, Egg, EggCheck, EggPlace, Hatchling
from clutches.queries.eggs import counts_by_state
from clutches.rules.layings.tracks import Tracked
from clutches.rules.vocabulary import EggState


@dataclass(frozen=True, slots=True)
class ClutchCounts:
    """How the eggs of a clutch stand, and how many animals came from it."""

    incubating: int = 0
    pipped: int = 0
    hatched: int = 0
    failed: int = 0
    animals: int = 0


def clutch_counts(*, clutch_ids: Collection[int]) -> dict[int, ClutchCounts]:
    """Return how the eggs of clutches stand, by key; two queries.

    Args:
        clutch_ids: keys; those without eggs and young have zeros.
    """
    states = counts_by_state(clutch_ids=clutch_ids)
    young = Hatchling.objects.filter(clutch__in=clutch_ids).order_by()
    animals = dict(young.values_list("clutch_id").annotate(number=Count("pk")))
    return {
        key: ClutchCounts(
            **{state.value: number for state, number in states.get(key, {}).items()},
            animals=animals.get(key, 0),
        )
        for key in clutch_ids
    }


def tracked_of(*, clutch: Clutch) -> Tracked:
    """Return what is on record of a clutch's eggs and young; four queries.

    Struck-out looks count: what they were about stays legible. Where an egg came to
    lie first moves with the day of laying, so that only the end of a place counts.
    """
    zone = ZoneInfo(clutch.site.time_zone)
    ended, ended_days = _ended(clutch)
    looks, look_days = _looks(clutch, zone)
    places, place_days = _places(clutch, zone)
    young = Hatchling.objects.filter(clutch=clutch).select_related("animal", "egg")
    hatched_days = [row.animal.hatched_on for row in young]
    days = [*ended_days, *look_days, *place_days]
    days += [hatched_on for hatched_on in hatched_days if hatched_on is not None]
    ascribed = {row.egg.number: "hatched" for row in young if row.egg is not None}
    return Tracked(
        {**places, **looks, **ascribed, **ended},
        min(days, default=None),
        len(hatched_days),
    )


_Found = tuple[dict[int, str], list[date]]
"""What is on record of eggs by their number, and on which days."""


def _ended(clutch: Clutch) -> _Found:
    rows = Egg.objects.filter(clutch=clutch).exclude(state=EggState.INCUBATING.value)
    eggs, days = {}, []
    for number, state, pipped_on, ended_on in rows.values_list(
        "number", "state", "pipped_on", "ended_on"
    ):
        eggs[number] = EggState(state).value
        days += [on for on in (pipped_on, ended_on) if on is not None]
    return eggs, days


def _looks(clutch: Clutch, zone: ZoneInfo) -> _Found:
    rows = EggCheck.objects.filter(egg__clutch=clutch).values_list("egg__number", "at")
    found = [(number, at.astimezone(zone).date()) for number, at in rows]
    eggs = {number: f"looked at on {on:%d %b %Y}" for number, on in found}
    return eggs, [on for _, on in found]


def _places(clutch: Clutch, zone: ZoneInfo) -> _Found:
    rows = EggPlace.objects.filter(egg__clutch=clutch).order_by("from_at")
    eggs, days = {}, []
    for number, box, until_at in rows.values_list(
        "egg__number", "box__code", "until_at"
    ):
        eggs[number] = f"put into box {box}"
        days += [until_at.astimezone(zone).date()] if until_at is not None else []
    return eggs, days
