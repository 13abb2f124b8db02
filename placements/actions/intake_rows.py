"""A delivery and its animals as somebody gives them, and as the rules see them."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from core.models import Site
from husbandry.models import Animal, Enclosure, Species
from husbandry.rules.sexes import UNSEXED, Sexing
from husbandry.rules.vocabulary import DatePrecision, Origin
from placements.models import Home, Placement
from placements.rules.exams import ExamPart
from placements.rules.newcomers import Newcomer
from placements.rules.vocabulary import ChipScan, IntakeCondition, IntakeSource


@dataclass(frozen=True, slots=True)
class Giver:
    """Somebody who brought animals and is not on record yet. Personal data."""

    name: str
    contact: str = ""


@dataclass(frozen=True, slots=True)
class ArrivalDetails:
    """How animals came.

    Attributes:
        arrived_at: now or earlier.
        home: from whom; a `Giver` is put on record; None: nobody is known.
        found_at: where a stray was found.
        hold_until: last day on which they may not leave, with `hold_reason`; None: as
            the house's policy for the source says.
        came_with: what came with them.
    """

    site: Site
    source: IntakeSource
    arrived_at: datetime
    home: Home | Giver | None = None
    found_at: str = ""
    hold_until: date | None = None
    hold_reason: str = ""
    came_with: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ExamGiven:
    """A look over an animal as it came."""

    examined_by: str
    parts: tuple[ExamPart, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class IntakeRow:
    """One animal of a delivery.

    Attributes:
        code: of a new animal, as on its label; "" for one that was here before.
        again: the animal, where it was here before or is on record as an ancestor.
        species: None: nobody knows yet.
        species_told: what it was said to be.
        species_sure: somebody who knows the species has looked.
        microchip: as the reader showed it; "": none.
        mass_g: grams; None: not weighed.
        mass_reason: why an unlikely mass is right; "": nobody has confirmed it.
        enclosure: where it is put; None: nowhere yet.
        signs: ids of warning signs of its profile that were seen.
        returns: the placement that it comes back from; None: the one that it was
            handed over by, if there is one.
        origin: None: as its source says.
    """

    code: str = ""
    again: Animal | None = None
    name: str = ""
    species: Species | None = None
    species_told: str = ""
    species_sure: bool = True
    sexing: Sexing = UNSEXED
    hatched_on: date | None = None
    hatched_precision: DatePrecision = DatePrecision.UNKNOWN
    origin: Origin | None = None
    origin_note: str = ""
    microchip: str = ""
    chip_scan: ChipScan = ChipScan.NOT_SCANNED
    condition: IntakeCondition = IntakeCondition.NOT_JUDGED
    mass_g: Decimal | None = None
    mass_reason: str = ""
    enclosure: Enclosure | None = None
    exam: ExamGiven | None = None
    signs: tuple[str, ...] = ()
    came_with: str = ""
    note: str = ""
    returns: Placement | None = None

    @property
    def label(self) -> str:
        """Return the code that it has or is to have."""
        return self.again.code if self.again else self.code.strip()

    def newcomer(self) -> Newcomer:
        """Return it as the rules see it."""
        said_anew = (
            ("name", self.name.strip()),
            ("species", self.species),
            ("sex", self.sexing != UNSEXED),
            ("hatched_on", self.hatched_on),
            ("origin", self.origin),
            ("origin_note", self.origin_note.strip()),
        )
        return Newcomer(
            code=self.label,
            again=self.again is not None,
            chip=self.microchip,
            scan=self.chip_scan,
            species_known=self.species is not None,
            species_sure=self.species_sure,
            species_told=self.species_told.strip(),
            said_anew=tuple(name for name, said in said_anew if said)
            if self.again
            else (),
        )
