"""Which animals are kept apart on a day."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Max, Min, OuterRef, Q, QuerySet, Subquery

from core.models import Site
from core.zones import day_bounds
from husbandry.models import Animal, Quarantine, Stay
from husbandry.queries.care_span import Ids
from husbandry.rules.quarantine import ToKeepApart
from husbandry.rules.vocabulary import AnimalStatus


@dataclass(frozen=True, slots=True)
class OpenQuarantine:
    """A quarantine that holds on the day asked about."""

    id: int
    animal: int
    code: str
    label: str
    began_on: date
    group: str
    reason: str


def quarantines_held(*, on: date) -> Q:
    """Return the condition of holding at the end of a local day, among quarantines.

    As `rules.quarantine.is_kept_apart` says it. Leaving care ends a quarantine, so
    an animal that came again is not held by an earlier one.

    Args:
        on: the local day.
    """
    return Q(began_on__lte=on) & (Q(ended_on__isnull=True) | Q(ended_on__gt=on))


def open_quarantines(
    *,
    animal_ids: Collection[int] | None = None,
    site: Site | None = None,
    on: date,
) -> tuple[OpenQuarantine, ...]:
    """Return who is kept apart at the end of a local day, by code; at most two queries.

    Args:
        animal_ids: of these animals; None: of all.
        site: of those that were there at the end of that day, or last before it
            (the first site answers for those that never were anywhere); None: of all.
        on: the day; a past one as the records of today tell it.
    """
    rows = Quarantine.objects.filter(quarantines_held(on=on))
    if animal_ids is not None:
        rows = rows.filter(animal__in=animal_ids)
    if site is not None:
        rows = _at(rows, site, on)
    rows = rows.select_related("animal").order_by("animal__code", "pk")
    return tuple(
        OpenQuarantine(
            id=row.pk,
            animal=row.animal_id,
            code=row.animal.code,
            label=str(row.animal),
            began_on=row.began_on,
            group=row.group,
            reason=row.reason,
        )
        for row in rows
    )


def kept_apart_since(*, ids: Ids, on: date) -> dict[int, date]:
    """Return since when animals are kept apart that are so on a day; one query.

    Args:
        ids: their keys, as a subquery.
        on: the local day.
    """
    held = Quarantine.objects.filter(quarantines_held(on=on), animal__in=ids)
    return dict(held.order_by("pk").values_list("animal_id", "began_on"))


def to_keep_apart(*, animals: Collection[Animal]) -> Mapping[int, ToKeepApart]:
    """Return animals as they stand before a quarantine, by key; one query.

    Args:
        animals: read a moment ago.
    """
    known = {
        animal: (open_since, ended_on)
        for animal, open_since, ended_on in Quarantine.objects.filter(
            animal__in=[a.pk for a in animals]
        )
        .values("animal")
        .annotate(
            open_since=Min("began_on", filter=Q(ended_on__isnull=True)),
            last_ended_on=Max("ended_on"),
        )
        .order_by("animal")
        .values_list("animal", "open_since", "last_ended_on")
    }
    return {
        a.pk: ToKeepApart(
            str(a),
            AnimalStatus(a.status),
            a.arrived_on,
            *known.get(a.pk, (None, None)),
        )
        for a in animals
    }


def _at(rows: QuerySet[Quarantine], site: Site, on: date) -> QuerySet[Quarantine]:
    _, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    end_at = datetime.fromtimestamp(end_s, ZoneInfo(site.time_zone))
    begun = Stay.objects.filter(animal=OuterRef("animal"), from_at__lt=end_at)
    last_site = begun.order_by("-from_at").values("enclosure__room__site")[:1]
    here = Q(last_site=site.pk)
    if site == Site.objects.earliest("pk"):
        here |= Q(last_site__isnull=True)
    return rows.annotate(last_site=Subquery(last_site)).filter(here)
