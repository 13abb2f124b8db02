"""Enclosures as people list them: how they stand, who lives there, what measures."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from django.db.models import Q

from core.models import Site
from husbandry.models import Enclosure, Probe, Setup, SightLine, Stay
from husbandry.rules.vocabulary import EnclosureKind, Lights


@dataclass(frozen=True, slots=True)
class SetupLine:
    """How an enclosure stands from a day on."""

    from_on: date
    width_cm: Decimal
    depth_cm: Decimal
    height_cm: Decimal
    lights: Lights
    lights_on: time | None
    lights_off: time | None
    laying_bin: bool


@dataclass(frozen=True, slots=True)
class EnclosureLine:
    """One enclosure as people list it.

    Attributes:
        setup: in force on that day; None: nobody has described it.
        animals: codes and names of those that live there now.
        probes: codes of the probes in use on that day.
        in_sight_of: codes of enclosures that can be seen from it.
    """

    id: int
    code: str
    room: str
    kind: EnclosureKind
    retired_on: date | None
    setup: SetupLine | None
    animals: tuple[str, ...]
    probes: tuple[str, ...]
    in_sight_of: tuple[str, ...]


def setup_in_force(*, enclosure: Enclosure, on: date) -> Setup | None:
    """Return the set-up of an enclosure on a day: the newest begun by then, or None."""
    return (
        Setup.objects.filter(enclosure=enclosure, from_on__lte=on)
        .order_by("-from_on")
        .first()
    )


def enclosure_lines(*, site: Site, on: date) -> tuple[EnclosureLine, ...]:
    """Return a site's enclosures in walking order; five queries.

    Args:
        site: where.
        on: the day whose set-ups, probes and sight lines count; who lives there
            is as of now.
    """
    rows = (
        Enclosure.objects.filter(room__site=site)
        .select_related("room")
        .order_by("room__position", "room__code", "position", "code")
    )
    setups, animals = _setups(site, on), _animals(site)
    probes, seen = _probes(site, on), _seen(site, on)
    return tuple(
        EnclosureLine(
            id=row.pk,
            code=row.code,
            room=row.room.name,
            kind=EnclosureKind(row.kind),
            retired_on=row.retired_on,
            setup=setups.get(row.pk),
            animals=tuple(animals.get(row.pk, ())),
            probes=tuple(probes.get(row.pk, ())),
            in_sight_of=tuple(sorted(seen.get(row.pk, ()))),
        )
        for row in rows
    )


def _setups(site: Site, on: date) -> dict[int, SetupLine]:
    rows = Setup.objects.filter(enclosure__room__site=site, from_on__lte=on)
    # In order of their days, so that the newest stays.
    return {row.enclosure_id: setup_line(row) for row in rows.order_by("from_on")}


def setup_line(row: Setup) -> SetupLine:
    """Return a set-up as people read it."""
    return SetupLine(
        from_on=row.from_on,
        width_cm=row.width_cm,
        depth_cm=row.depth_cm,
        height_cm=row.height_cm,
        lights=Lights(row.lights),
        lights_on=row.lights_on,
        lights_off=row.lights_off,
        laying_bin=row.laying_bin,
    )


def _animals(site: Site) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    stays = Stay.objects.filter(until_at__isnull=True, enclosure__room__site=site)
    for stay in stays.select_related("animal").order_by("place", "animal__code"):
        found[stay.enclosure_id].append(str(stay.animal))
    return found


def _probes(site: Site, on: date) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = Probe.objects.filter(
        Q(retired_on__isnull=True) | Q(retired_on__gte=on),
        enclosure__room__site=site,
        from_on__lte=on,
    )
    for enclosure_id, code in rows.order_by("code").values_list("enclosure", "code"):
        found[enclosure_id].append(code)
    return found


def _seen(site: Site, on: date) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = SightLine.objects.filter(
        Q(until_on__isnull=True) | Q(until_on__gte=on),
        enclosure__room__site=site,
        from_on__lte=on,
    ).select_related("enclosure", "other")
    for row in rows:
        found[row.enclosure_id].append(row.other.code)
        found[row.other_id].append(row.enclosure.code)
    return found
