"""A paper as rules know it."""

from dataclasses import dataclass
from datetime import date

from placements.rules.vocabulary import CitesSource, PaperKind


@dataclass(frozen=True, slots=True)
class PaperFacts:
    """A paper about an animal, or about keeping its species, on a certain day.

    Attributes:
        animal, species: key of what it is about; one of them is None.
        cites_source: None: it names none.
        in_force: it was issued by that day, or on a day not known, and had not ended.
    """

    id: int
    kind: PaperKind
    animal: int | None
    species: int | None
    number: str
    cites_source: CitesSource | None
    issued_by: str
    issued_on: date | None
    valid_until: date | None
    in_force: bool


def is_in_force(on: date, *, issued_on: date | None, valid_until: date | None) -> bool:
    """Say whether a paper holds on a day; its last day is one of them.

    Args:
        on: the local day.
        issued_on: None: not known, which is taken as before.
        valid_until: None: it does not end.
    """
    begun = issued_on is None or issued_on <= on
    return begun and (valid_until is None or on <= valid_until)
