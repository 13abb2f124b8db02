"""A site's enclosures, probes and sight lines as they stood on one local day."""

from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Q

from core.models import Site
from core.zones import instant
from husbandry.models import Enclosure, Probe, Setup, SightLine
from husbandry.rules.clock import LightTimes
from husbandry.rules.light import sun_times
from husbandry.rules.night.facts import EnclosureFacts, ProbeFacts
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Zone

MEASURES = {
    Quantity.TEMPERATURE_C: "measures_temperature",
    Quantity.HUMIDITY_PCT: "measures_humidity",
    Quantity.UV_INDEX: "measures_uv_index",
}


def enclosures_on(*, site: Site, on: date) -> dict[int, EnclosureFacts]:
    """Return a site's enclosures as they stood on a local day, by key.

    Where no timer is on record, the sun makes the day; without a set-up there is no
    size. Two queries.
    """
    zone = ZoneInfo(site.time_zone)
    setups = setups_in_force(site=site, on=on)
    sun = sun_times(
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        on=on,
        zone=zone,
    )
    natural = LightTimes(*sun)
    return {
        e.pk: _enclosure_facts(e, setups.get(e.pk), on, zone, natural)
        for e in Enclosure.objects.filter(room__site=site).select_related("room")
    }


def setups_in_force(*, site: Site, on: date) -> dict[int, Setup]:
    """Return the set-up of each of a site's enclosures on a day, by enclosure.

    The newest that began on or before that day; enclosures without one are absent.
    """
    began = Setup.objects.filter(enclosure__room__site=site, from_on__lte=on)
    return {setup.enclosure_id: setup for setup in began.order_by("from_on")}


def _enclosure_facts(
    enclosure: Enclosure,
    setup: Setup | None,
    on: date,
    zone: ZoneInfo,
    natural: LightTimes,
) -> EnclosureFacts:
    return EnclosureFacts(
        id=enclosure.pk,
        code=enclosure.code,
        room=enclosure.room.name,
        kind=EnclosureKind(enclosure.kind),
        width_cm=setup.width_cm if setup else None,
        depth_cm=setup.depth_cm if setup else None,
        height_cm=setup.height_cm if setup else None,
        laying_bin=bool(setup and setup.laying_bin),
        lights=_lights(setup, on, zone) or natural,
    )


def _lights(setup: Setup | None, on: date, zone: ZoneInfo) -> LightTimes | None:
    if setup is None or setup.lights_on is None or setup.lights_off is None:
        return None
    return LightTimes(
        instant(on, setup.lights_on, zone=zone),
        instant(on, setup.lights_off, zone=zone),
    )


def _in_use(on: date) -> Q:
    return Q(Q(retired_on__isnull=True) | Q(retired_on__gte=on), from_on__lte=on)


def probe_ids_out_of_use(*, site: Site, on: date) -> list[int]:
    """Return the site's probes that were not yet or no longer in use on a day."""
    probes = Probe.objects.filter(~_in_use(on), enclosure__room__site=site)
    return list(probes.order_by("pk").values_list("pk", flat=True))


def probes_on(*, site: Site, on: date) -> tuple[ProbeFacts, ...]:
    """Return the probes in use at a site on a local day, in order of their keys."""
    return tuple(
        ProbeFacts(
            id=p.pk,
            code=p.code,
            enclosure=p.enclosure_id,
            zone=Zone(p.zone),
            quantities=tuple(q for q, field in MEASURES.items() if getattr(p, field)),
            interval_s=p.interval_s,
        )
        for p in Probe.objects.filter(_in_use(on), enclosure__room__site=site).order_by(
            "pk"
        )
    )


def sight_lines_on(*, site: Site, on: date) -> tuple[tuple[int, int], ...]:
    """Return which pairs of a site's enclosures could see each other on a day."""
    return tuple(
        SightLine.objects.filter(
            Q(until_on__isnull=True) | Q(until_on__gte=on),
            enclosure__room__site=site,
            from_on__lte=on,
        )
        .order_by("enclosure", "other")
        .values_list("enclosure_id", "other_id")
    )
