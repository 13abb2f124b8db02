"""Put the demo's organisation, people, rooms, enclosures and probes on record."""

from dataclasses import dataclass
from datetime import datetime, time
from decimal import Decimal

from core.actions import add_room, add_site, name_organisation, register_user
from core.models import Room, Site, User
from demo import scenario
from demo.care_stories import MISTED_BY_HAND
from demo.enclosures import ENCLOSURES, INTERVAL_MIN, PROBES
from demo.faults import SIGHT_LINES
from demo.nights import Nights
from demo.plans import EnclosurePlan
from husbandry.actions.enclosures import (
    add_enclosure,
    add_probe,
    note_sight_line,
    remove_sight_line,
    set_up_enclosure,
)
from husbandry.models import Enclosure, Probe
from husbandry.rules.vocabulary import Lights, Misting

MORNING = time(9)


@dataclass(frozen=True, slots=True)
class House:
    """What stands once everything is settled, by code."""

    site: Site
    people: dict[str, User]
    enclosures: dict[str, Enclosure]
    probes: dict[str, Probe]


def settle(*, nights: Nights) -> House:
    """Set the organisation up on the first of its nights.

    Args:
        nights: the demo's calendar.

    Returns:
        What other steps of the demo refer to.
    """
    opened_at = nights.moment(1, scenario.OPENING)
    name_organisation(
        name=scenario.ORGANISATION, contact=scenario.CONTACT, by=None, at=opened_at
    )
    people = _people(opened_at)
    manager = people[scenario.MANAGER]
    site = add_site(
        code=scenario.SITE_CODE,
        name=scenario.SITE_NAME,
        time_zone=scenario.TIME_ZONE,
        latitude_deg=scenario.LATITUDE_DEG,
        longitude_deg=scenario.LONGITUDE_DEG,
        by=manager,
        at=opened_at,
    )
    rooms = {
        plan.code: add_room(
            site=site,
            code=plan.code,
            name=plan.name,
            position=position,
            quarantine=plan.quarantine,
            by=manager,
            at=opened_at,
        )
        for position, plan in enumerate(scenario.ROOMS, start=1)
    }
    enclosures = {
        plan.code: _enclosure(plan, position, rooms, nights, manager)
        for position, plan in enumerate(ENCLOSURES, start=1)
    }
    _sight_lines(enclosures, nights, manager)
    probes = _probes(enclosures, nights, manager)
    return House(site, people, enclosures, probes)


def _people(opened_at: datetime) -> dict[str, User]:
    return {
        person.username: register_user(
            username=person.username,
            role=person.role,
            password=person.password,
            first_name=person.first_name,
            last_name=person.last_name,
            by=None,
            at=opened_at,
        )
        for person in scenario.PEOPLE
    }


def _enclosure(
    plan: EnclosurePlan,
    position: int,
    rooms: dict[str, Room],
    nights: Nights,
    manager: User,
) -> Enclosure:
    enclosure = add_enclosure(
        code=plan.code,
        room=rooms[plan.room],
        kind=plan.kind,
        position=position,
        by=manager,
        at=nights.moment(1, scenario.OPENING),
    )
    for standing in plan.standings:
        width, depth, height = (Decimal(size) for size in standing.size_cm)
        set_up_enclosure(
            enclosure=enclosure,
            from_on=nights.on(standing.from_night),
            width_cm=width,
            depth_cm=depth,
            height_cm=height,
            lights=Lights.TIMER,
            lights_on=standing.lights_on,
            lights_off=standing.lights_off,
            laying_bin=standing.laying_bin,
            misting=Misting.BY_HAND
            if plan.code in MISTED_BY_HAND
            else Misting.BY_TIMER,
            by=manager,
            at=nights.moment(standing.from_night, MORNING),
        )
    return enclosure


def _sight_lines(
    enclosures: dict[str, Enclosure], nights: Nights, manager: User
) -> None:
    for line in SIGHT_LINES:
        enclosure, other = enclosures[line.enclosure], enclosures[line.other]
        note_sight_line(
            enclosure=enclosure,
            other=other,
            from_on=nights.on(line.from_night),
            by=manager,
            at=nights.moment(line.from_night, MORNING),
        )
        remove_sight_line(
            enclosure=enclosure,
            other=other,
            until_on=nights.on(line.barrier_night - 1),
            by=manager,
            at=nights.moment(line.barrier_night, MORNING),
        )


def _probes(
    enclosures: dict[str, Enclosure], nights: Nights, manager: User
) -> dict[str, Probe]:
    return {
        plan.code: add_probe(
            code=plan.code,
            enclosure=enclosures[plan.enclosure],
            zone=plan.zone,
            quantities=plan.quantities,
            interval_s=INTERVAL_MIN * 60,
            from_on=nights.on(1),
            by=manager,
            at=nights.moment(1, scenario.OPENING),
        )
        for plan in PROBES
    }
