"""Build the demo: every row of it through the same actions that people use."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.db import transaction

from core import zones
from core.errors import DomainError
from core.models import Organisation, Site, User
from demo import scenario
from demo.animals import LEAVING
from demo.breeding import breed
from demo.caring import care
from demo.enclosures import PROBES
from demo.lives import live
from demo.measuring import import_file, write_logger_files
from demo.nights import Nights
from demo.placing import pack
from demo.plans import NIGHTS
from demo.rescue import place, set_rules
from demo.settling import House, settle
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.actions.review import review_night
from husbandry.models import Animal, Probe, Species
from placements.actions.register import write_register
from placements.models import Packet

SPECIES = "veiled_chameleon"

# Announces a step and times it for as long as the block runs.
Step = Callable[[str], AbstractContextManager[None]]


class ForeignDataError(DomainError):
    """The database belongs to somebody; the demo stays out of it."""

    code = "foreign_data"


class UntilError(DomainError):
    """The demo cannot end on that day."""

    code = "until_refused"


@dataclass(frozen=True, slots=True)
class Demo:
    """The demo as it stands in the database."""

    site: Site
    until: date
    packet: Packet


def built_demo() -> Demo | None:
    """Return the demo that this database holds, or None."""
    site = Site.objects.filter(code=scenario.SITE_CODE).first()
    packet = Packet.objects.filter(placement__animal__code=LEAVING.code).first()
    probe = Probe.objects.filter(code=PROBES[0].code).first()
    if site is None or packet is None or probe is None:
        return None
    # Every probe has been in use since the first of the nights.
    return Demo(site, probe.from_on + timedelta(days=NIGHTS - 1), packet)


def last_finished_day(at: datetime) -> date:
    """Return the last local day that is over at the demo's place."""
    return zones.last_finished_day(at, zone=ZoneInfo(scenario.TIME_ZONE))


@transaction.atomic
def build(*, until: date, folder: Path, step: Step, at: datetime) -> Demo:
    """Build the demo into a database without any other organisation's data.

    All or nothing: interrupted, it leaves the database as it was.

    Args:
        until: the last of its fourteen nights, over by now.
        folder: where the loggers' files are written; made if it is not there.
        step: announces each step.
        at: now.

    Raises:
        ForeignDataError: the database holds an organisation, site or animal.
        UntilError: that day is not over yet.
    """
    check_empty()
    check_until(until, at=at)
    nights = Nights(until, ZoneInfo(scenario.TIME_ZONE))
    with step("Setting up people, rooms, enclosures and probes"):
        load_shipped_profiles(by=None, at=nights.moment(1, scenario.OPENING))
        house = settle(nights=nights)
    with step("Registering animals, moving and weighing them"):
        species = Species.objects.get(code=SPECIES)
        set_rules(house=house, species=species, nights=nights)
        animals = live(house=house, species=species, nights=nights)
    with step("Writing down pairs, clutches, boxes and eggs"):
        breed(house=house, animals=animals, species=species, nights=nights)
    with step("Placing animals and hearing from their homes"):
        place(house=house, animals=animals, species=species, nights=nights)
    with step("Doing fourteen days of rounds"):
        care(house=house, animals=animals, nights=nights)
    _measure(house, nights, folder, step, at)
    _review(house, nights, step, at)
    with step("Planning a placement and making its packet"):
        packet = pack(
            animal=animals[LEAVING.code],
            until=until,
            by=house.people[scenario.COORDINATOR],
            at=at,
        )
        write_register(by=None, at=at)
    return Demo(house.site, until, packet)


def check_empty() -> None:
    """Refuse a database that holds somebody's data.

    Raises:
        ForeignDataError: an organisation, a site or an animal is on record.
    """
    found = (
        Organisation.objects.values_list("name", flat=True).first()
        or Site.objects.values_list("name", flat=True).first()
        or Animal.objects.values_list("code", flat=True).first()
        or User.objects.filter(username__in=_usernames()).first()
    )
    if found:
        raise ForeignDataError(
            f"This database holds data of an organisation already ({found}). The demo "
            "is built into an empty one only: set SPURBOOK_DATA to another folder, or "
            "DATABASE_URL to another database."
        )


def _usernames() -> list[str]:
    return [person.username for person in scenario.PEOPLE]


def check_until(until: date, *, at: datetime) -> None:
    """Refuse a last night that is not over.

    Raises:
        UntilError: the local day of the demo's place has not ended.
    """
    last = last_finished_day(at)
    if until > last:
        raise UntilError(
            f"{until:%d %b %Y} is not over yet in {scenario.SITE_NAME} "
            f"({scenario.TIME_ZONE}). Give {last:%d %b %Y} or an earlier day."
        )


def _measure(
    house: House, nights: Nights, folder: Path, step: Step, at: datetime
) -> None:
    with step("Simulating the climate and writing the loggers' files"):
        paths = write_logger_files(nights=nights, folder=folder)
    with step(f"Importing {len(paths)} logger files"):
        for path in paths:
            import_file(path, by=house.people[scenario.KEEPER], at=at)


def _review(house: House, nights: Nights, step: Step, at: datetime) -> None:
    manager = house.people[scenario.MANAGER]
    with step(f"Reviewing {NIGHTS} nights"):
        for night in range(1, NIGHTS + 1):
            review_night(site=house.site, on=nights.on(night), by=manager, at=at)
