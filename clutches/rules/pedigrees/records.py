"""What is on record before a pedigree file is taken in, and what would come of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from husbandry.rules.vocabulary import Confidence, DatePrecision, Sex


class ParentRole(StrEnum):
    """As what an animal is named as a parent."""

    DAM = "dam"
    SIRE = "sire"

    @property
    def sex(self) -> Sex:
        """Return the sex of whoever has this part."""
        return Sex.FEMALE if self is ParentRole.DAM else Sex.MALE


class LineOutcome(StrEnum):
    """What became of a line."""

    REGISTERED = "registered"
    FILLED_IN = "filled_in"
    KNOWN = "known"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Known:
    """An animal on record.

    Attributes:
        dam: key of its dam, or None.
        sire: key of its sire, or None.
        never_here: on record as an ancestor only, so that a file may say more of it.
        candidates: keys of males of which one is its sire, where it is not decided.
    """

    id: int
    code: str
    name: str
    species: int
    sex: Sex
    hatched_on: date | None
    hatched_precision: DatePrecision
    dam: int | None
    sire: int | None
    never_here: bool
    candidates: tuple[int, ...]

    @property
    def label(self) -> str:
        """Return code and name, as people say them."""
        return f"{self.code} {self.name}".strip()

    def parent(self, role: ParentRole) -> int | None:
        """Return the key of a parent, or None."""
        return self.dam if role is ParentRole.DAM else self.sire


@dataclass(frozen=True, slots=True)
class Records:
    """All animals on record, and the species by each of their names, casefolded.

    Attributes:
        species: key by code, common name and scientific name.
        only_species: the one on record, where there is no other.
    """

    animals: tuple[Known, ...]
    species: Mapping[str, int]
    only_species: int | None = None


ParentRef = int | str
"""The key of an animal on record, or the code of one that the same plan registers."""


@dataclass(frozen=True, slots=True)
class NewAncestor:
    """An animal to be put on record; line None: only named as a parent."""

    line: int | None
    code: str
    name: str
    species: int
    sex: Sex
    confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    dam: ParentRef | None
    sire: ParentRef | None


@dataclass(frozen=True, slots=True)
class FilledIn:
    """What becomes known of an animal on record; None and "" stay as they are."""

    line: int
    id: int
    dam: ParentRef | None
    sire: ParentRef | None
    name: str
    sex: Sex | None
    confidence: Confidence | None
    hatched_on: date | None
    hatched_precision: DatePrecision | None


@dataclass(frozen=True, slots=True)
class LineTold:
    """What became of one line, and what was left out of it."""

    line: int
    code: str
    outcome: LineOutcome
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """What a file would change.

    Attributes:
        generations: animals to be registered, parents before their young.
        filled: animals on record of which more becomes known.
        lines: of every line with an animal, in the order of the file.
    """

    generations: tuple[tuple[NewAncestor, ...], ...]
    filled: tuple[FilledIn, ...]
    lines: tuple[LineTold, ...]
