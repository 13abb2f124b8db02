"""Clutch-mates of a night's animals that are not here themselves any more."""

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from husbandry.models import Animal, Weighing
from husbandry.rules.clock import LocalDay
from husbandry.rules.night.facts import MateFacts
from husbandry.rules.vocabulary import DatePrecision, Sex
from husbandry.rules.weights import WeighingPoint

# Growth is judged in young animals; nobody older has mates to compare with.
YOUNG = timedelta(days=550)
# As far back as the night reads the weighings of its own animals, and some more.
WEIGHED_WITHIN = timedelta(days=120)


def mates_elsewhere(
    *, animals: QuerySet[Animal, Any], day: LocalDay
) -> tuple[MateFacts, ...]:
    """Return mates that left, died or live at another site; two queries.

    Args:
        animals: those of the night.
        day: the local day; later weighings are left out.

    Returns:
        Animals that share a dam with one of them, hatched to the day and not long
        ago, each with its weighings in force. What they weighed at the same age
        counts, whatever became of them.
    """
    mates = (
        Animal.objects.filter(
            dam__in=animals.order_by().values("dam"),
            hatched_precision=DatePrecision.DAY.value,
            hatched_on__gte=day.on - YOUNG,
            hatched_on__lte=day.on,
        )
        .exclude(pk__in=animals.order_by().values("pk"))
        .order_by("code")
    )
    rows = mates.values_list(
        "pk", "code", "name", "sex", "hatched_on", "dam_id", "sire_id"
    )
    weighed = _weighings(mates, day)
    return tuple(
        MateFacts(
            id=pk,
            label=f"{code} {name}".strip(),
            sex=Sex(sex),
            hatched_on=hatched_on,
            dam=dam,
            sire=sire,
            weighings=tuple(weighed[pk]),
        )
        for pk, code, name, sex, hatched_on, dam, sire in rows
        if hatched_on is not None
    )


def _weighings(
    mates: QuerySet[Animal, Any], day: LocalDay
) -> dict[int, list[WeighingPoint]]:
    found: dict[int, list[WeighingPoint]] = defaultdict(list)
    until_at = datetime.fromtimestamp(day.end_s, UTC)
    corrected = Weighing.objects.filter(corrects=OuterRef("pk"))
    rows = Weighing.objects.filter(
        ~Exists(corrected),
        animal__in=mates.order_by().values("pk"),
        at__gte=until_at - WEIGHED_WITHIN,
        at__lt=until_at,
    ).order_by("at", "pk")
    for pk, animal, at, mass_g in rows.values_list("pk", "animal_id", "at", "mass_g"):
        found[animal].append(WeighingPoint(id=pk, at=at, mass_g=mass_g))
    return found
