"""Where each egg lay, and how warm it was there on the whole."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import QuerySet

from clutches.models import Clutch, EggPlace
from clutches.queries.incubator_hours import HOUR_S, Spells, incubator_warmth
from clutches.queries.legs import leg_of, stays_of_boxes
from clutches.rules.figures.warmth import Mean, mean_over, summed
from clutches.rules.forecasting.spells import Leg, majority_spells, through_boxes
from husbandry.models import Enclosure


@dataclass(frozen=True, slots=True)
class EggWarmth:
    """Where one egg lay and how warm it was.

    Attributes:
        box: code of the last one; "": in none.
        incubator: code of the one it was in for longest; "": in none.
        mean_c: of the hours that were measured; None: none were.
        measured: share of its hours that were, 0 to 1.
    """

    box: str
    incubator: str
    mean_c: float | None
    measured: float


NOWHERE = EggWarmth("", "", None, 0.0)


def egg_warmth(
    *, clutches: QuerySet[Clutch], lives: Mapping[int, tuple[int, int]]
) -> dict[int, EggWarmth]:
    """Return where eggs lay and how warm they were; five queries, however many.

    Args:
        clutches: whose eggs they are.
        lives: by egg, the epoch seconds from which and until which it is asked.

    Returns:
        By egg. Eggs that went the same way at the same time are worked out once.
    """
    laid, boxes = _laid(clutches)
    stays = stays_of_boxes({leg.place for legs in laid.values() for leg in legs})
    ways = {egg: through_boxes(laid.get(egg, ()), stays) for egg in lives}
    spells = {
        (way, life): majority_spells({way: 1}, from_s=life[0], until_s=life[1])
        for way, life in {(ways[egg], life) for egg, life in lives.items()}
    }
    base_s = min((from_s for from_s, _ in lives.values()), default=0)
    end_s = max((until_s for _, until_s in lives.values()), default=0)
    found = incubator_warmth(
        incubators={leg.place for way, _ in spells for leg in way},
        base_s=base_s,
        hours=(end_s - base_s) // HOUR_S,
    )
    warmth = {incubator: summed(hours_c) for incubator, hours_c in found.items()}
    codes = dict(Enclosure.objects.filter(kind="incubator").values_list("pk", "code"))
    told = {
        (way, life): (
            codes.get(_longest(there, life[1]) or 0, ""),
            mean_over(there, warmth, base_s=base_s, until_s=life[1]),
        )
        for (way, life), there in spells.items()
    }
    return {
        egg: _in_box(boxes.get(egg, ""), *told[ways[egg], life])
        for egg, life in lives.items()
    }


def _in_box(box: str, incubator: str, mean: Mean) -> EggWarmth:
    return EggWarmth(box, incubator, mean.mean_c, mean.measured)


def _longest(spells: Spells, until_s: int) -> int | None:
    seconds: dict[int, int] = defaultdict(int)
    for spell in spells:
        if spell.incubator is not None:
            end_s = until_s if spell.until_s is None else spell.until_s
            seconds[spell.incubator] += end_s - spell.from_s
    return min(seconds, key=lambda key: (-seconds[key], key), default=None)


def _laid(
    clutches: QuerySet[Clutch],
) -> tuple[dict[int, list[Leg]], dict[int, str]]:
    """Return by egg in which boxes it lay, and the code of the last."""
    laid: dict[int, list[Leg]] = defaultdict(list)
    last: dict[int, str] = {}
    rows = EggPlace.objects.filter(egg__clutch__in=clutches).order_by("from_at")
    for egg, box, code, from_at, until_at in rows.values_list(
        "egg_id", "box_id", "box__code", "from_at", "until_at"
    ):
        laid[egg].append(leg_of(box, from_at, until_at))
        last[egg] = code
    return laid, last
