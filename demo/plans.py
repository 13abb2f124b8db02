"""The shapes of the demo's tables: people, places, animals, instruments, faults.

Days of the demo are counted: night 1 is the first of its fourteen local days,
night 0 the day before it.
"""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from core.roles import Role
from husbandry.rules.vocabulary import (
    EnclosureKind,
    FindingKind,
    Origin,
    Quantity,
    Sex,
    Urgency,
    Zone,
)

NIGHTS = 14


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who signs in; the password is for the demo only."""

    username: str
    first_name: str
    last_name: str
    role: Role
    password: str


@dataclass(frozen=True, slots=True)
class RoomPlan:
    """A room and its weather: warmed for the day, aired for the night."""

    code: str
    name: str
    lights_on: time
    lights_off: time
    day_c: float
    night_c: float
    vapour_g_m3: float
    quarantine: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """How an enclosure stands from a night on."""

    from_night: int
    size_cm: tuple[int, int, int]
    lights_on: time
    lights_off: time
    laying_bin: bool = False


@dataclass(frozen=True, slots=True)
class Shell:
    """The physical constants of a kind of enclosure; see `demo.climate.Bodies`."""

    volume_m3: float
    heat_capacity_j_k: float
    loss_w_k: float
    air_changes_per_h: float
    lamp_to_air: float
    drying_per_h: float


@dataclass(frozen=True, slots=True)
class EnclosurePlan:
    """An enclosure with its equipment.

    Attributes:
        lamp_w: power of the heat lamp by day.
        perch_k_w: how much warmer than the air the basking spot is, per watt.
        uv_new: UV index at the perch when the lamp was new.
        uv_age_days: how long the UVB lamp had burnt on night 1.
        uv_half_life_days: after which half of its output is left.
        mist_g_h: what the nozzle gives in the minutes before lights-on and after
            lights-off.
        fog_g_h: what the fogger gives at night.
        thermostat: what it holds by day and by night, °C; None: it has none.
    """

    code: str
    room: str
    kind: EnclosureKind
    shell: Shell
    standings: tuple[Standing, ...]
    lamp_w: float
    perch_k_w: float
    uv_new: float
    uv_age_days: float
    uv_half_life_days: float
    mist_g_h: float
    fog_g_h: float
    thermostat: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class ProbePlan:
    """A probe, and how its logger writes: every so often, from some minute on."""

    code: str
    enclosure: str
    zone: Zone
    quantities: tuple[Quantity, ...]
    interval_min: int
    offset_min: int
    file: str
    channel: str


@dataclass(frozen=True, slots=True)
class AnimalPlan:
    """An animal and its story.

    Attributes:
        age_days: on the last night.
        arrived_night: the night on whose day it came; 0 or less: before the demo.
        moves: (night, local time, enclosure), the first being where it started.
        masses: (night, grams) of the weighings, in order.
        came_with: who handed it over, with all that came together; "": it lived here
            before the first night.
    """

    code: str
    name: str
    sex: Sex
    age_days: int
    origin: Origin
    arrived_night: int
    moves: tuple[tuple[int, time, str], ...]
    masses: tuple[tuple[int, Decimal], ...]
    dam: str = ""
    sire: str = ""
    gravid_from_night: int | None = None
    note: str = ""
    came_with: str = ""


@dataclass(frozen=True, slots=True)
class Expected:
    """One finding that the reviews must make of a fault, and nothing else.

    Attributes:
        subject: code of the animal, enclosure or probe that its key names.
        detail: the parts of its key after the subject.
        opened: first night it is seen.
        closed: first night it is no longer so; None: still open at the end.
        urgency: of the last night it was seen.
    """

    kind: FindingKind
    subject: str
    detail: tuple[str, ...]
    opened: int
    closed: int | None
    urgency: Urgency
