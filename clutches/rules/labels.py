"""What stands on the label of an animal's enclosure."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from husbandry.rules.sentences.numbers import day
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis

BASES = {
    SexBasis.HEEL_SPUR: "heel spur",
    SexBasis.BODY_FORM: "body form",
    SexBasis.PROBING: "probing",
    SexBasis.LAID_EGGS: "laid eggs",
    SexBasis.LABORATORY: "laboratory",
    SexBasis.REPORTED: "as reported",
    SexBasis.NOT_SEXED: "",
}
# More would not fit beside what must not be cut off; the likeliest come first.
NAMED_SIRES = 2


@dataclass(frozen=True, slots=True)
class SireShareLine:
    """A male that may be the sire, by his code."""

    code: str
    probability: Decimal


@dataclass(frozen=True, slots=True)
class Label:
    """One label.

    Attributes:
        hatched_on: None: not known.
        clutch: code; "" where none is on record.
        dam, sire: codes; "" where they are not known.
        may_be: who may be the sire where he is not known.
        place: code of the enclosure; "".
    """

    code: str
    name: str
    species: str
    hatched_on: date | None
    clutch: str
    dam: str
    sire: str
    may_be: tuple[SireShareLine, ...]
    sex: Sex
    basis: SexBasis
    confidence: Confidence
    place: str

    @property
    def hatched(self) -> str:
        """Return the day of hatching, as it cannot be misread."""
        if self.hatched_on is None:
            return "hatch date not known"
        return f"hatched {day(self.hatched_on.isoformat())}"

    @property
    def sexed(self) -> str:
        """Return the sex with how it is known, and how surely; never more than that."""
        if self.sex is Sex.UNKNOWN:
            return "sex not known"
        return f"{self.sex.value}, {BASES[self.basis]}, {self.confidence.value}"

    @property
    def parents(self) -> str:
        """Return dam and sire, or who he may be; of many how many more there are."""
        if not self.dam and not self.sire and not self.may_be:
            return "parents not known"
        return f"{self.dam or '?'} × {self.sire or self._may_be or '?'}"

    @property
    def _may_be(self) -> str:
        codes = [one.code for one in self.may_be]
        more = len(codes) - NAMED_SIRES
        if more > 0:
            others = "another" if more == 1 else f"{more} others"
            codes = [*codes[:NAMED_SIRES], others]
        return " or ".join(codes)
