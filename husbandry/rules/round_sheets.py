"""The sheet of a round as frozen values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import CaredRoom
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.masses import PlausibleMasses
from husbandry.rules.profiles.values import Provenance
from husbandry.rules.vocabulary import FindingKind, RoundNoteKind, Sex, Urgency


@dataclass(frozen=True, slots=True)
class RoundFinding:
    """A finding as it stood in the morning; without animal or enclosure, the room's."""

    id: int
    kind: FindingKind
    urgency: Urgency
    opened_on: date
    evidence: Mapping[str, Any]
    animal: int | None
    enclosure: int | None


@dataclass(frozen=True, slots=True)
class RoundNote:
    """What to mind at an animal, with the days it holds where they are known."""

    kind: RoundNoteKind
    since_on: date | None
    until_on: date | None
    reason: str = ""
    rule_id: str = ""
    provenance: Provenance | None = None


@dataclass(frozen=True, slots=True)
class LastWeight:
    """What an animal weighed last, and on which local day."""

    mass_g: Decimal
    on: date


@dataclass(frozen=True, slots=True)
class RoundAnimal:
    """One animal at its stop.

    Attributes:
        age_days: None: its day of hatching is not known.
        plausible: masses that nobody is asked about when they are typed in next.
        tasks: of the day, open and done.
        overdue: open tasks of the six days before, oldest first.
    """

    id: int
    code: str
    label: str
    sex: Sex
    age_days: int | None
    stage: str
    last_weight: LastWeight | None
    plausible: PlausibleMasses | None
    notes: tuple[RoundNote, ...]
    tasks: tuple[CareTask, ...]
    overdue: tuple[CareTask, ...]
    findings: tuple[RoundFinding, ...]


@dataclass(frozen=True, slots=True)
class RoundStop:
    """One enclosure, with what is due for itself and for who lives in it."""

    id: int
    code: str
    tasks: tuple[CareTask, ...]
    overdue: tuple[CareTask, ...]
    findings: tuple[RoundFinding, ...]
    animals: tuple[RoundAnimal, ...]


@dataclass(frozen=True, slots=True)
class RoundPlace:
    """Where a round is walked, and by which clock."""

    site: str
    site_name: str
    room: CaredRoom
    zone: ZoneInfo


@dataclass(frozen=True, slots=True)
class RoundProfile:
    """Which version of which care profile the day's tasks were computed from."""

    common_name: str
    version: int


@dataclass(frozen=True, slots=True)
class RoundSheet:
    """Everything that a walk through one room on one day needs.

    Attributes:
        made_at: when the sheet was made; nothing else in it depends on the clock.
        tasks, overdue: of the room as a whole, such as gut-loading.
        findings: about the room or the site, worst first.
        night: the last reviewed night before the day; None: none, so that what is
            wrong is not known.
    """

    place: RoundPlace
    on: date
    made_at: datetime
    night: date | None
    profiles: tuple[RoundProfile, ...]
    tasks: tuple[CareTask, ...]
    overdue: tuple[CareTask, ...]
    findings: tuple[RoundFinding, ...]
    stops: tuple[RoundStop, ...]

    @property
    def animals(self) -> tuple[RoundAnimal, ...]:
        """Return all animals, in walking order."""
        return tuple(animal for stop in self.stops for animal in stop.animals)

    @property
    def all_tasks(self) -> tuple[CareTask, ...]:
        """Return all tasks of the day: the room's, the enclosures', the animals'."""
        return (
            *self.tasks,
            *(task for stop in self.stops for task in stop.tasks),
            *(task for animal in self.animals for task in animal.tasks),
        )
