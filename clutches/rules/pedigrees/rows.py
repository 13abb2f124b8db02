"""The rows of a pedigree file: read one by one, and what of each was left out."""

from dataclasses import dataclass, replace
from datetime import date

from clutches.rules.pedigrees.cells import NOT_SAID, is_unknown, read_sex
from clutches.rules.pedigrees.files import Cells
from clutches.rules.pedigrees.hatch_dates import (
    ACCEPTED,
    NOT_KNOWN,
    Hatched,
    read_hatched,
    settle_order,
    settled,
)
from clutches.rules.pedigrees.headings import Column
from husbandry.rules.animals import LONGEST_CODE
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.vocabulary import Confidence, Sex

LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence about one line, without the line in front."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class PedigreeRow:
    """One animal as a line tells it; empty texts and None: not said.

    Attributes:
        dam: code of the mother.
        sire: code of the father.
        species: as written.
    """

    line: int
    code: str
    name: str
    sex: Sex
    confidence: Confidence
    hatched: Hatched
    dam: str
    sire: str
    species: str

    def says_the_same(self, other: "PedigreeRow") -> bool:
        """Say whether another line tells the very same."""
        return self == replace(other, line=self.line)


@dataclass(frozen=True, slots=True)
class ParsedPedigree:
    """A file's rows; of those that were refused only what was said.

    Attributes:
        refused: lines that gave no row, with their code as written.
        said: what was left out of a row that was kept.
    """

    rows: tuple[PedigreeRow, ...]
    refused: tuple[tuple[str, Said], ...]
    said: tuple[Said, ...]


def read_rows(
    cells: Cells, *, day_order: DayOrder | None, today: date
) -> ParsedPedigree:
    """Read the cells of a pedigree, row by row.

    Args:
        cells: of the file.
        day_order: whether days or months come first, where a person said it.
        today: the latest local day that has begun anywhere.

    Raises:
        PedigreeUndecidedError: the order of days and months is open.
    """
    written = [read_hatched(cells.cell(row, Column.HATCHED)) for row in cells.rows]
    order = settle_order(written, day_order)
    rows, refused, said = [], [], []
    for line, row, dated in zip(cells.lines, cells.rows, written, strict=True):
        code = tidy(cells.cell(row, Column.CODE))
        wrong = _wrong_row(cells, row, code)
        if wrong:
            refused.append((code, Said(line, wrong)))
            continue
        found, left_out = _row(cells, line, row, settled(dated, order, today=today))
        rows.append(found)
        said += [Said(line, text) for text in left_out]
    return ParsedPedigree(tuple(rows), tuple(refused), tuple(said))


def tidy(text: str) -> str:
    """Return a text with single plain spaces."""
    return " ".join(text.split())


def _wrong_row(cells: Cells, row: tuple[str, ...], code: str) -> str:
    beyond = [cell for cell in row[cells.width :] if cell]
    if beyond:
        return (
            f"has {len(row)} cells under {cells.width} headings (the last is "
            f"{row[-1]!r}). Put a cell that holds the delimiter in quotation marks."
        )
    if is_unknown(code):
        return f"{code!r} is no code for an animal. Give the code on its label."
    return wrong_code(code)


def wrong_code(code: str) -> str:
    """Return what is wrong with a code; empty where it can be one."""
    if len(code) > LONGEST_CODE:
        return (
            f"{code!r} has {len(code)} characters; a code has at most {LONGEST_CODE}. "
            "Shorten it, everywhere in the file."
        )
    if not code.isprintable() or "\ufffd" in code:
        return (
            f"{code!r} has characters that cannot be read. Save the file as UTF-8 and "
            "look at this code."
        )
    return ""


def _row(
    cells: Cells, line: int, row: tuple[str, ...], hatched: Hatched | None
) -> tuple[PedigreeRow, list[str]]:
    left_out = []
    sex = read_sex(cells.cell(row, Column.SEX))
    if sex is None:
        left_out.append(
            f"{cells.cell(row, Column.SEX)!r} is no sex; accepted are male, female, m, "
            "f, 1.0, 0.1 and unknown. Its sex was left out."
        )
    if hatched is None:
        written = cells.cell(row, Column.HATCHED)
        left_out.append(
            f"{written!r} is no day on which it can have hatched, in the order of this "
            f"file and up to today; accepted is {ACCEPTED}. It was left out."
        )
    name = tidy(cells.cell(row, Column.NAME))
    if len(name) > LONGEST_NAME or not name.isprintable():
        left_out.append(
            f"The name {name[:20]!r}… was left out; at most {LONGEST_NAME} letters are "
            "kept."
        )
        name = ""
    said = sex or NOT_SAID
    found = PedigreeRow(
        line=line,
        code=tidy(cells.cell(row, Column.CODE)),
        name="" if is_unknown(name) else name,
        sex=said.sex,
        confidence=said.confidence,
        hatched=hatched or NOT_KNOWN,
        dam=_parent(cells.cell(row, Column.DAM)),
        sire=_parent(cells.cell(row, Column.SIRE)),
        species=tidy(cells.cell(row, Column.SPECIES)),
    )
    return found, left_out


def _parent(cell: str) -> str:
    return "" if is_unknown(cell) else tidy(cell)
