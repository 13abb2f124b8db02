"""The register as CSV by RFC 4180, safe to be opened as a spreadsheet."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from core.csv_tables import Cell, as_csv
from placements.rules.vocabulary import Direction, RegisterHow


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One line of the register as it is read.

    Attributes:
        whom: name of the home it came from or went to; "" for those who may not know,
            and where nobody is known.
        contact: of that home, likewise.
        place: where a stray was found or an animal was released, likewise.
        papers: kind and number of each.
        corrects, corrected_by, strikes: numbers of other lines, or None.
        entered_by: "" where the night wrote it.
    """

    id: int
    number: int
    on: date
    direction: Direction
    how: RegisterHow
    animal: int
    code: str
    scientific_name: str
    sex: str
    hatched_on: str
    microchip: str
    dam: str
    sire: str
    cites_sources: tuple[str, ...]
    papers: tuple[str, ...]
    whom: str
    contact: str
    place: str
    corrects: int | None
    corrected_by: int | None
    strikes: int | None
    note: str
    entered_at: datetime
    entered_by: str


HEADINGS = (
    *("number", "on", "came_or_left", "how", "animal", "scientific_name", "sex"),
    *("hatched_on", "microchip", "dam", "sire", "cites_sources", "papers"),
    *("from_or_to", "contact", "place", "corrects", "corrected_by", "strikes_out"),
    *("note", "entered_at", "entered_by"),
)


def register_as_csv(rows: Iterable[RegisterRow]) -> str:
    """Return lines of the register, one each, in their order."""
    return as_csv(HEADINGS, (_cells(row) for row in rows))


def _cells(row: RegisterRow) -> list[Cell]:
    return [
        *(row.number, row.on, row.direction.value, row.how.value, row.code),
        *(row.scientific_name, row.sex, row.hatched_on, row.microchip),
        *(row.dam, row.sire, " ".join(row.cites_sources), "; ".join(row.papers)),
        *(row.whom, row.contact, row.place, row.corrects, row.corrected_by),
        *(row.strikes, row.note, row.entered_at.isoformat(), row.entered_by),
    ]
