"""The lamps over each enclosure, and for how long they have burnt."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from itertools import pairwise
from typing import Any

from django.db.models import Q

from core.models import Site
from husbandry.models import Lamp, LampCheck
from husbandry.queries.care_lights import Standing, Sun
from husbandry.queries.care_span import CareSpan
from husbandry.rules.care.facts import LampFact
from husbandry.rules.vocabulary import LampKind

_SECONDS_PER_HOUR = 3600


def lamps_of(
    *, site: Site, span: CareSpan, standings: Mapping[int, list[Standing]], sun: Sun
) -> dict[int, tuple[LampFact, ...]]:
    """Return the lamps that burn beyond the last day, by enclosure; two queries.

    Args:
        site: where.
        span: burnt hours are those up to the start of its last day.
        standings: how the enclosures stood, oldest first.
        sun: what lights an enclosure without a timer.
    """
    burning = Lamp.objects.filter(
        Q(removed_on__isnull=True) | Q(removed_on__gt=span.until_on),
        enclosure__room__site=site,
        fitted_on__lte=span.until_on,
    )
    checked: dict[int, list[tuple[date, Any]]] = defaultdict(list)
    for lamp, at, uv_index in (
        LampCheck.objects.filter(span.known(), lamp__in=burning.values("pk"))
        .order_by("lamp_id", "at", "pk")
        .values_list("lamp_id", "at", "uv_index")
    ):
        checked[lamp].append((span.day_of(at), uv_index))
    found: dict[int, list[LampFact]] = defaultdict(list)
    for pk, enclosure, kind, label, fitted_on in burning.order_by(
        "enclosure_id", "kind", "fitted_on", "pk"
    ).values_list("pk", "enclosure_id", "kind", "label", "fitted_on"):
        checks = checked.get(pk, [])
        found[enclosure].append(
            LampFact(
                id=pk,
                kind=LampKind(kind),
                label=label,
                fitted_on=fitted_on,
                burnt_hours=_burnt_hours(
                    standings.get(enclosure, []), fitted_on, span.until_on, sun
                ),
                checked_on=tuple(dict.fromkeys(on for on, _ in checks)),
                last_uv_index=checks[-1][1] if checks else None,
            )
        )
    return {enclosure: tuple(lamps) for enclosure, lamps in found.items()}


def _burnt_hours(
    standings: list[Standing], fitted_on: date, until_on: date, sun: Sun
) -> float:
    """Return for how long the lights were on, from one day up to another's start."""
    hours = 0.0
    for standing, from_on, to_on in _stretches(standings, fitted_on, until_on):
        if (
            standing is None
            or standing.lights_on is None
            or standing.lights_off is None
        ):
            hours += sun.hours(from_on, to_on)
        else:
            lit_h = _hours_between(standing.lights_on, standing.lights_off)
            hours += (to_on - from_on).days * lit_h
    return hours


def _stretches(
    standings: list[Standing], from_on: date, to_on: date
) -> Iterator[tuple[Standing | None, date, date]]:
    """Cut days, the last left out, by how the enclosure stood; first perhaps unknown."""
    turns: list[tuple[Standing | None, date]] = [(None, date.min)]
    turns += [(standing, standing.from_on) for standing in standings]
    for (standing, begun_on), (_, over_on) in pairwise([*turns, (None, date.max)]):
        first, last = max(begun_on, from_on), min(over_on, to_on)
        if first < last:
            yield standing, first, last


def _hours_between(lights_on: time, lights_off: time) -> float:
    day = date(2000, 1, 1)
    lit = datetime.combine(day, lights_off) - datetime.combine(day, lights_on)
    return lit.total_seconds() / _SECONDS_PER_HOUR
