"""What the advice on pairs is told, and what it answers."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clutches.rules.vocabulary import AgainstPairing
from husbandry.rules.parents import Relative
from husbandry.rules.profiles.values import Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import Confidence, FindingKind

YEAR_DAYS = 365
"""The twelve months in which clutches are counted."""


@dataclass(frozen=True, slots=True)
class Breeder:
    """An animal that may be paired, as it is on record on a day.

    Attributes:
        animal: id, label, sex and when it hatched.
        mass_g: at its last weighing; None: never weighed.
        laid_on: of its last clutch; None: none on record.
        clutches: how many in the twelve months until the day.
        gravid_since: first day of a spell that is open; None.
        quarantine: name of the quarantine room that it stays in; "".
        unwell: kinds of its open findings that are urgent now, in order.
    """

    animal: Relative
    code: str
    sex_confidence: Confidence
    mass_g: Decimal | None = None
    weighed_on: date | None = None
    laid_on: date | None = None
    clutches: int = 0
    gravid_since: date | None = None
    quarantine: str = ""
    unwell: tuple[FindingKind, ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason against a pair, with the number that it rests on.

    Attributes:
        animal: id of whom it is about; None: the two together, or the time of year.
        figure: kinship, days of age or rest, grams, or clutches; None: not a number.
        limit: what it was held to, in the same unit.
        since: the day of a laying, a weighing, or from which it is gravid.
        words: the room, the confidence, kinds of findings, or months as numbers.
        rule_id: of the profile's row; "" where none speaks.
        provenance: on whose word the limit stands; None: there is no limit.
    """

    kind: AgainstPairing
    animal: int | None
    figure: Decimal | None = None
    limit: Decimal | None = None
    since: date | None = None
    words: tuple[str, ...] = ()
    rule_id: str = ""
    provenance: Provenance | None = None


@dataclass(frozen=True, slots=True)
class AdvisedPair:
    """A female and a male, and all that speaks against them.

    Attributes:
        inbreeding: F that their young would have: the kinship of the two.
        lower_bound: whether a parent is missing in the ancestry of one of them, so
            that F and mean kinship may be higher in truth.
        mean_kinship: of their young to the collection: the mean of the two.
        female_mean_kinship, male_mean_kinship: of each to the collection.
        female_rest_days: since her last clutch; None: none is on record.
        female_age_days, male_age_days: the least that each can be old; None: not
            known.
    """

    female: Breeder
    male: Breeder
    inbreeding: float
    lower_bound: bool
    mean_kinship: float
    female_mean_kinship: float
    male_mean_kinship: float
    female_rest_days: int | None
    female_age_days: int | None
    male_age_days: int | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """A breeder's own reasons, and the figures that nothing could be held to.

    Attributes:
        unsaid: matters on which the profile says nothing, so that none was judged.
    """

    reasons: tuple[Reason, ...]
    unsaid: tuple[IncubationMatter, ...]
