"""What is known of one site's night, gathered once, as frozen values."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

from husbandry.rules.clock import LightTimes, LocalDay
from husbandry.rules.policies import Policy
from husbandry.rules.profiles.resolving import Override
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import (
    EnclosureKind,
    FindingKind,
    Quantity,
    Reproduction,
    Sex,
    Zone,
)
from husbandry.rules.weights import GravidSpell, WeighingPoint


@dataclass(frozen=True, slots=True)
class StayFacts:
    """A stay, cut to the local day, in epoch seconds."""

    enclosure: int
    from_s: int
    until_s: int

    @property
    def seconds(self) -> int:
        """Return how long it lasted within the day."""
        return self.until_s - self.from_s


@dataclass(frozen=True, slots=True)
class AnimalFacts:
    """One animal as it was on that day.

    Attributes:
        stays: its stays of the day in this site's enclosures, in order.
        homeless: it was in no enclosure of any site when the day ended, and the
            last one was here; the site of the last one says so.
        hatched_exactly: the day of hatching is known to the day.
        dam, sire: keys of its parents, or None.
        gravid: its gravid spells up to that day.
        sheds: local days on which it was seen to shed, as far back as weights are.
        weighings: those that a weight rule may need, newest last.
    """

    id: int
    code: str
    name: str
    species: int
    sex: Sex
    hatched_on: date | None
    arrived_on: date
    reproduction: Reproduction
    gravid: tuple[GravidSpell, ...]
    stays: tuple[StayFacts, ...]
    homeless: bool
    overrides: tuple[Override, ...]
    weighings: tuple[WeighingPoint, ...]
    hatched_exactly: bool = False
    dam: int | None = None
    sire: int | None = None
    sheds: tuple[date, ...] = ()

    @property
    def label(self) -> str:
        """Return code and name, as people say them."""
        return f"{self.code} {self.name}".strip()


@dataclass(frozen=True, slots=True)
class MateFacts:
    """A clutch-mate of one of the night's animals that is not here itself."""

    id: int
    label: str
    sex: Sex
    hatched_on: date
    dam: int | None
    sire: int | None
    weighings: tuple[WeighingPoint, ...]


@dataclass(frozen=True, slots=True)
class EnclosureFacts:
    """One enclosure as it stood on that day; no set-up: nobody has described it."""

    id: int
    code: str
    room: str
    kind: EnclosureKind
    width_cm: Decimal | None
    depth_cm: Decimal | None
    height_cm: Decimal | None
    laying_bin: bool
    lights: LightTimes


@dataclass(frozen=True, slots=True)
class ProbeFacts:
    """One probe in use on that day."""

    id: int
    code: str
    enclosure: int
    zone: Zone
    quantities: tuple[Quantity, ...]
    interval_s: int


@dataclass(frozen=True, slots=True)
class ProfileFacts:
    """The care profile in force for a species, and its version."""

    version: int
    profile: Profile


@dataclass(frozen=True, slots=True)
class NightFacts:
    """Everything that the review of one site's local day knows beside readings.

    Attributes:
        profiles: by species, with the limits that the site has set instead.
        policies: what the site decided about findings, by kind.
        mates: clutch-mates that left, died or live elsewhere; only compared with.
    """

    day: LocalDay
    zone: ZoneInfo
    animals: tuple[AnimalFacts, ...]
    enclosures: Mapping[int, EnclosureFacts]
    probes: tuple[ProbeFacts, ...]
    sight_lines: tuple[tuple[int, int], ...]
    profiles: Mapping[int, ProfileFacts]
    site_name: str = ""
    policies: Mapping[FindingKind, Policy] = field(default_factory=dict)
    mates: tuple[MateFacts, ...] = ()
