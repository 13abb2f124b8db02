"""Where animals are cared for: who is there, enclosures with their lamps, rooms."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from core.models import Room, Site
from husbandry.models import Animal, Enclosure, Stay
from husbandry.queries.animals import here_since, in_care_on
from husbandry.queries.care_lamps import lamps_of
from husbandry.queries.care_lights import Standing, Sun, standings_of
from husbandry.queries.care_span import CareSpan, Ids
from husbandry.rules.care.facts import CaredEnclosure, CaredRoom, LampFact
from husbandry.rules.vocabulary import Misting

ANIMAL_COLUMNS = ("pk", "code", "name", "species_id", "sex", "hatched_on")


@dataclass(frozen=True, slots=True)
class CaredFor:
    """Who is cared for at the end of the last day.

    Attributes:
        ids: their keys, as a subquery.
        rows: their columns, and the key of their `enclosure`, or None.
    """

    ids: Ids
    rows: tuple[dict[str, Any], ...]


def cared_for(*, site: Site, room: Room | None, span: CareSpan) -> CaredFor:
    """Return who is in care at a site, or in a room, on the last day.

    As the nightly review counts them: arrived, not left by the end of that day, and
    in an enclosure there at its end; for a whole site also those without any, whose
    last one was here (the first site answers for those that never had one).

    Args:
        site: where.
        room: one of its rooms, or None for all.
        span: the days asked about.
    """
    stays = _lasting(span).filter(enclosure__room__site=site)
    if room is not None:
        stays = stays.filter(enclosure__room=room)
    present = _present(span)
    where = stays.filter(animal=OuterRef("pk")).values("enclosure")[:1]
    housed = present.filter(pk__in=stays.values("animal"))
    since = here_since(span.until_on)
    rows = list(
        housed.values(*ANIMAL_COLUMNS, enclosure=Subquery(where), here_since=since)
    )
    ids: Ids = housed.values("pk")
    if room is None:
        homeless = _homeless(site, span, present)
        lost = list(homeless.values(*ANIMAL_COLUMNS, here_since=since))
        rows += [{**row, "enclosure": None} for row in lost]
        if lost:
            ids = ids.order_by().union(homeless.order_by().values("pk"))
    return CaredFor(ids, tuple(sorted(rows, key=lambda row: row["code"])))


def rooms_of(*, site: Site, room: Room | None) -> dict[int, CaredRoom]:
    """Return the rooms of a site, or the one asked for, by key; one query."""
    rooms = Room.objects.filter(site=site) if room is None else [room]
    return {
        r.pk: CaredRoom(r.pk, r.code, r.name, r.position, r.quarantine) for r in rooms
    }


def enclosures_of(
    *, site: Site, room: Room | None, span: CareSpan, occupied: Iterable[int]
) -> dict[int, CaredEnclosure]:
    """Return enclosures as they stand on the last day, with their lamps; four queries.

    Args:
        site: where; its sun makes the day where no timer is on record.
        room: one of its rooms, or None for all.
        span: the days asked about.
        occupied: those with animals, which are there though marked as retired.

    Returns:
        By key; without those that were retired before the last day.
    """
    standings = standings_of(site=site, span=span)
    sun = Sun(site, span)
    lamps = lamps_of(site=site, span=span, standings=standings, sun=sun)
    rows = Enclosure.objects.filter(
        Q(room=room) if room is not None else Q(room__site=site)
    ).values_list("pk", "code", "position", "room_id", "retired_on")
    kept = set(occupied)
    return {
        pk: _enclosure(
            (pk, code, position, room_id), standings.get(pk, []), lamps.get(pk, ()), sun
        )
        for pk, code, position, room_id, retired_on in rows
        if retired_on is None or retired_on >= span.until_on or pk in kept
    }


def _lasting(span: CareSpan) -> QuerySet[Stay]:
    """Return the stays that had begun and were not over when the last day ended."""
    return Stay.objects.filter(
        Q(until_at__isnull=True) | Q(until_at__gte=span.end_at), from_at__lt=span.end_at
    )


def _present(span: CareSpan) -> QuerySet[Animal]:
    return Animal.objects.filter(in_care_on(span.until_on))


def _homeless(
    site: Site, span: CareSpan, present: QuerySet[Animal]
) -> QuerySet[Animal]:
    begun = Stay.objects.filter(animal=OuterRef("pk"), from_at__lt=span.end_at)
    last_site = begun.order_by("-from_at").values("enclosure__room__site")[:1]
    here = Q(last_site=site.pk)
    if site == Site.objects.earliest("pk"):
        here |= Q(last_site__isnull=True)
    somewhere = Exists(_lasting(span).filter(animal=OuterRef("pk")))
    return (
        present.filter(~somewhere).annotate(last_site=Subquery(last_site)).filter(here)
    )


def _enclosure(
    named: tuple[int, str, int, int],
    standings: list[Standing],
    lamps: tuple[LampFact, ...],
    sun: Sun,
) -> CaredEnclosure:
    now = standings[-1] if standings else None
    lights = (now.lights_on, now.lights_off) if now else (None, None)
    lights_on, lights_off = lights
    if lights_on is None or lights_off is None:
        lights_on, lights_off = sun.clock_times()
    return CaredEnclosure(
        *named,
        lights_on=lights_on,
        lights_off=lights_off,
        misting=now.misting if now else Misting.BY_HAND,
        laying_bin=bool(now and now.laying_bin),
        lamps=lamps,
    )
