"""What the figures are counted from: a row for each clutch, egg and hatchling."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clutches.rules.vocabulary import EggState, FailureCause
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex


@dataclass(frozen=True, slots=True)
class ClutchRow:
    """One clutch, and what all that came from it has in common.

    Attributes:
        dam: code; "" where she is not known.
        sires: codes of all that may be the sire, in order; none: not known.
        broken: eggs that broke at laying; no figure counts them.
        born_alive, born_dead: live-bearers only.
        by_warmth: whether sexes by warmth are published for its species, so that as
            many of each is not what is to be expected.
    """

    id: int
    code: str
    species: str
    site: str
    laid_on: date
    dam: str
    sires: tuple[str, ...]
    eggs_set: int
    infertile: int
    broken: int
    born_alive: int = 0
    born_dead: int = 0
    by_warmth: bool = False


@dataclass(frozen=True, slots=True)
class EggRow:
    """One egg that was kept to incubate.

    Attributes:
        vessels: whether vessels, or a young filling the egg, were ever seen in it.
        incubator: code of the one it lay in for longest; "": in none.
        mean_c: mean of the hours that were measured around it, °C; None: none were.
        measured: share of its hours that were measured, 0 to 1.
        hatchling: key of the animal that came from it, or None.
    """

    clutch: int
    number: int
    state: EggState
    pipped_on: date | None
    ended_on: date | None
    cause: FailureCause | None
    vessels: bool
    box: str
    incubator: str
    mean_c: float | None
    measured: float
    hatchling: int | None


@dataclass(frozen=True, slots=True)
class HatchlingRow:
    """One animal that hatched or was born here.

    Attributes:
        hatched_on: None: the day was put in doubt later, and it is in no survival.
        mass_g: what it weighed within three days of hatching; None: nobody weighed.
        watched_days: from hatching until it left, or until today; None: from when on
            is not known.
        incubator, mean_c, measured: as of its egg; "", None and 0 where that is not
            known.
    """

    id: int
    code: str
    clutch: int
    hatched_on: date | None
    sex: Sex
    confidence: Confidence
    status: AnimalStatus
    watched_days: int | None
    mass_g: Decimal | None
    incubator: str
    mean_c: float | None
    measured: float


@dataclass(frozen=True, slots=True)
class BreedingRows:
    """All that figures are counted from."""

    clutches: tuple[ClutchRow, ...]
    eggs: tuple[EggRow, ...]
    hatchlings: tuple[HatchlingRow, ...]
