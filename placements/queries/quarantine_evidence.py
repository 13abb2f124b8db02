"""What the criteria of quarantine are judged by: tests, weighings, reviewed nights."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Max, Q

from husbandry.models import Finding, HealthTest, ReviewRun
from husbandry.queries.findings import FINISHED
from husbandry.queries.weights import weighings_by_animal
from husbandry.rules.vocabulary import (
    FindingKind,
    HealthTestKind,
    HealthTestResult,
    Urgency,
)
from placements.rules.quarantine.values import MassFact, OpenFinding, SampleFact


def samples(
    *, kinds: Mapping[int, HealthTestKind], on: date
) -> dict[int, tuple[SampleFact, ...]]:
    """Return the tests of animals as they stood on a local day; one query.

    Args:
        kinds: which kind of test is asked for, by animal; others are left out.
        on: a result that came later was awaited on this day.

    Returns:
        By animal, oldest first; those without any are absent.
    """
    found: dict[int, list[SampleFact]] = defaultdict(list)
    rows = HealthTest.objects.filter(animal__in=kinds, taken_on__lte=on)
    for row in rows.order_by("taken_on", "pk"):
        if row.kind == kinds[row.animal_id]:
            known = row.result_on is not None and row.result_on <= on
            result = HealthTestResult(row.result) if known else HealthTestResult.AWAITED
            found[row.animal_id].append(SampleFact(row.taken_on, result))
    return {animal: tuple(facts) for animal, facts in found.items()}


def weighings(
    *, zones: Mapping[int, ZoneInfo], on: date
) -> dict[int, tuple[MassFact, ...]]:
    """Return the weighings in force of animals until a local day; one query.

    Args:
        zones: where each animal is, for the local days.
        on: the last day.

    Returns:
        By animal, oldest first; those never weighed are absent.
    """
    latest = datetime.combine(on, time.max, ZoneInfo("UTC")) + timedelta(days=1)
    found = weighings_by_animal(animal_ids=list(zones), until_at=latest)
    return {
        animal: tuple(
            MassFact(local_on, point.mass_g)
            for point in points
            if (local_on := point.at.astimezone(zones[animal]).date()) <= on
        )
        for animal, points in found.items()
    }


def reviewed_nights(*, sites: Collection[int], before: date) -> dict[int, date]:
    """Return the last night before a day that was reviewed, by site; one query.

    A night does not judge by what itself has found, so that it can be run again.
    """
    rows = ReviewRun.objects.filter(
        site__in=sites, state__in=FINISHED, on__lt=before
    ).values("site")
    newest = rows.annotate(newest=Max("on")).order_by("site")
    return dict(newest.values_list("site", "newest"))


def open_findings(
    *, animal_ids: Collection[int], nights: Mapping[int, date]
) -> dict[int, tuple[OpenFinding, ...]]:
    """Return what stood open of animals after the last night of each site; one query.

    Args:
        animal_ids: whose.
        nights: by site; others say nothing.

    Returns:
        By animal, oldest first; those of whom nothing stood open are absent.
    """
    reach = Q(pk__in=())
    for site, night in nights.items():
        still_open = Q(closed_on__isnull=True) | Q(closed_on__gt=night)
        reach |= Q(still_open, site=site, opened_on__lte=night)
    found: dict[int, list[OpenFinding]] = defaultdict(list)
    rows = Finding.objects.filter(
        reach, animal__in=animal_ids, withdrawn_on__isnull=True
    )
    for pk, animal, kind, urgency, opened_on in rows.order_by(
        "opened_on", "pk"
    ).values_list("pk", "animal_id", "kind", "urgency", "opened_on"):
        found[animal].append(
            OpenFinding(pk, FindingKind(kind), Urgency(urgency), opened_on)
        )
    return {animal: tuple(findings) for animal, findings in found.items()}
