"""What a home tells of its enclosure, and how one matter of it compares."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.clock import LightTimes, LocalDay
from husbandry.rules.conditions import Readings
from husbandry.rules.profiles.resolving import ResolvedTarget
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import (
    EnclosureKind,
    Period,
    Quantity,
    Reproduction,
    Sex,
    Zone,
)
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter, UvbLamp

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class HomeSetup:
    """An enclosure as its home describes it.

    Attributes:
        zone: in which its clock runs.
        lights_on, lights_off: local times, in order.
        uvb_percent: printed on the lamp; None: not said.
        uvb_distance_cm: from the lamp to the highest perch; None: not said.
        other_animals: that live in it already.
        sees_others: another of its kind can be seen from inside; None: not said.
    """

    kind: EnclosureKind
    width_cm: Decimal
    depth_cm: Decimal
    height_cm: Decimal
    zone: ZoneInfo
    lights_on: time
    lights_off: time
    uvb_lamp: UvbLamp
    uvb_percent: Decimal | None = None
    uvb_distance_cm: Decimal | None = None
    uvb_through_screen: bool = False
    laying_bin: bool = False
    other_animals: int = 0
    sees_others: bool | None = None


@dataclass(frozen=True, slots=True)
class HomeDay:
    """A local day of a home, and when the lights of the enclosure burn in it."""

    day: LocalDay
    lights: LightTimes


@dataclass(frozen=True, slots=True)
class AnimalNeeds:
    """What an animal needs on a day, and what that was chosen by.

    Attributes:
        profile: the care profile in force; None: none is published.
        stage: the life stage's code; None: the age is not known.
        targets: of the climate, with what was agreed for the animal.
    """

    profile: Profile | None
    version: int
    stage: str | None
    sex: Sex
    reproduction: Reproduction
    targets: tuple[ResolvedTarget, ...]


@dataclass(frozen=True, slots=True, eq=False)
class HomeReadings:
    """What was measured in a home's enclosure, as the kernel takes it.

    Attributes:
        zones: each spot with readings; its place is the kernel's probe.
        quantities: what is measured at each spot.
        interval_s: how far its readings lie apart, as the review is told of a probe.
        readings: of all spots.
    """

    zones: tuple[Zone, ...]
    quantities: tuple[tuple[Quantity, ...], ...]
    interval_s: tuple[int, ...]
    readings: Readings


@dataclass(frozen=True, slots=True)
class MatterState:
    """How one matter compares.

    Attributes:
        why: the reason, as a word; sentences are made of it elsewhere.
        wanted, found: numbers, as plain JSON values.
        basis: on whose word the wanted stands; see `husbandry.rules.night.evidence`.
        quantity, zone, period: of the climate only.
    """

    matter: ReadinessMatter
    state: Readiness
    why: Why
    wanted: Json
    found: Json
    basis: Json | None = None
    quantity: Quantity | None = None
    zone: Zone | None = None
    period: Period | None = None
