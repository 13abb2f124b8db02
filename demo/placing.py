"""Place one of the demo's animals as it should be, and make the packet that goes along."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

from core.models import User
from demo import scenario
from demo.homes import HOME, HOME_CONTACT, HOME_NOTES
from husbandry.models import Animal
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Zone
from placements.actions.applications import decide, receive_application, record_check
from placements.actions.home_readings import add_readings
from placements.actions.homes import add_home
from placements.actions.packets import make_packet
from placements.actions.placements import plan_placement
from placements.actions.readiness import describe_enclosure, review_readiness
from placements.models import Application, Home, HomeEnclosure, Packet
from placements.pdf import draw
from placements.queries.packets import load_packet
from placements.rules.readiness.details import EnclosureDetails
from placements.rules.readiness.typed import TypedReading
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    PlacementKind,
    UvbLamp,
)

LEAVES_AFTER = timedelta(days=6)
MEASURED_DAYS = 4
MEASURED_EVERY = timedelta(minutes=30)
DAY = (scenario.LIGHTS_ON, scenario.LIGHTS_OFF)
ANSWERS = {
    "kept_before": "species",
    "years_kept": "9",
    "enclosure": "ready",
    "uvb": "linear_t5",
    "measures": "yes",
    "people_at_risk": "no",
    "dwelling": "own",
    "vet": "The practice that looks after our animals, too.",
}
# Of a day and of a night, in the home's enclosure.
MEASURED = {
    (Zone.BASKING, Quantity.TEMPERATURE_C): ("26.8", "16.2"),
    (Zone.BASKING, Quantity.UV_INDEX): ("3.1", "0"),
    (Zone.AMBIENT, Quantity.TEMPERATURE_C): ("23.4", "15.8"),
    (Zone.AMBIENT, Quantity.HUMIDITY_PCT): ("41", "86"),
}


def pack(*, animal: Animal, until: date, by: User, at: datetime) -> Packet:
    """Take an application, look at the home, plan the placement, freeze its packet.

    Args:
        animal: in care.
        until: the last night of the demo; it is to leave six days later.
        by: the person.
        at: now.
    """
    home = add_home(name=HOME, contact=HOME_CONTACT, notes=HOME_NOTES, by=by, at=at)
    application = _application(home, animal, until, by, at)
    enclosure = _enclosure(home, until, at)
    review_readiness(
        enclosure=enclosure, animal=animal, on=until + LEAVES_AFTER, by=by, at=at
    )
    placement = plan_placement(
        animal=animal,
        home=home,
        kind=PlacementKind.ADOPTION,
        planned_on=until + LEAVES_AFTER,
        application=application,
        home_enclosure=enclosure,
        by=by,
        at=at,
    )
    return make_packet(placement=placement, by=by, at=at)


def _application(
    home: Home, animal: Animal, until: date, by: User, at: datetime
) -> Application:
    application = receive_application(
        home=home,
        kind=PlacementKind.ADOPTION,
        animal=animal,
        answers=ANSWERS,
        by=by,
        at=at,
    )
    for kind in CheckKind:
        if kind is not CheckKind.HOME_READY:
            record_check(
                application=application,
                kind=kind,
                outcome=CheckOutcome.PASSED,
                by=by,
                at=at,
            )
    return decide(
        application=application,
        to=ApplicationState.ACCEPTED,
        on=until,
        told="We look forward to it.",
        by=by,
        at=at,
    )


def _enclosure(home: Home, until: date, at: datetime) -> HomeEnclosure:
    enclosure = describe_enclosure(
        home=home,
        details=EnclosureDetails(
            label="Tall screen cage by the north wall",
            kind=EnclosureKind.SCREEN,
            width_cm=Decimal(61),
            depth_cm=Decimal(61),
            height_cm=Decimal(122),
            time_zone=scenario.TIME_ZONE,
            lights_on=scenario.LIGHTS_ON,
            lights_off=scenario.LIGHTS_OFF,
            uvb_lamp=UvbLamp.LINEAR_T5,
            uvb_percent=Decimal(6),
            uvb_distance_cm=Decimal(25),
            uvb_through_screen=True,
            laying_bin=True,
            sees_others=False,
        ),
        by=None,
        at=at,
    )
    add_readings(enclosure=enclosure, readings=_readings(until), by=None, at=at)
    return enclosure


def _readings(until: date) -> list[TypedReading]:
    """Return what the home's logger wrote in its last days, steady as it was."""
    zone = ZoneInfo(scenario.TIME_ZONE)
    first = until - timedelta(days=MEASURED_DAYS - 1)
    begins = datetime.combine(first, time(0), zone).timestamp()
    ends = datetime.combine(until + timedelta(days=1), time(0), zone).timestamp()
    steps = range(int(begins), int(ends), int(MEASURED_EVERY.total_seconds()))
    found = []
    for number, epoch_s in enumerate(steps):
        at = datetime.fromtimestamp(epoch_s, zone)
        lit = DAY[0] <= at.time() < DAY[1]
        for (spot, quantity), (by_day, by_night) in MEASURED.items():
            value = Decimal(by_day if lit else by_night)
            # No living room stands still; a probe that does is stuck.
            value += Decimal(number % 3) / 10 if value else 0
            found.append(TypedReading(spot, quantity, at, value))
    return found


def print_packet(packet: Packet, *, folder: Path) -> Path:
    """Draw a packet as a PDF.

    Args:
        packet: on record.
        folder: where to; made if it is not there.

    Raises:
        PrintingUnavailableError: a library of the system is missing.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"packet-{packet.number}.pdf"
    path.write_bytes(draw(load_packet(packet.pk)))
    return path
