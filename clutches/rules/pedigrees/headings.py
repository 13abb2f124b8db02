"""Which column a heading of a pedigree file stands over."""

from collections.abc import Sequence
from enum import StrEnum

from clutches.rules.pedigrees.errors import PedigreeFileError
from husbandry.rules.loggers.words import tokens


class Column(StrEnum):
    """What a column of a pedigree file says."""

    CODE = "code"
    NAME = "name"
    DAM = "dam"
    SIRE = "sire"
    SEX = "sex"
    HATCHED = "hatched"
    SPECIES = "species"


QUALIFIERS = frozenset(
    ("id", "code", "no", "nr", "num", "number", "tag", "label", "ref", "key")
)
NAMES = frozenset(("name", "names", "nom", "nombre", "naam", "nome"))
_SPELLINGS = {
    Column.CODE: "animal,individual,specimen,reptile,tier,animale,dier,ind",
    Column.DAM: "dam,mother,mum,mom,female parent,mutter,mere,madre,moeder,mae",
    Column.SIRE: "sire,father,dad,male parent,vater,pere,padre,vader,pai",
    Column.SEX: "sex,gender,m f,f m,geschlecht,sexe,sexo,sesso,geslacht",
    Column.HATCHED: "hatched,hatch,hatch date,hatching date,date hatched,date of hatch,"
    "date of hatching,hatched on,hatchdate,doh,born,born on,birth,birth date,"
    "birthdate,date of birth,date born,birthday,dob,hatch year,year hatched,"
    "birth year,year of birth,year born,year,geboren,geschlupft,ne le,"
    "date de naissance,nacido,fecha de nacimiento,nascita,data di nascita,nascimento",
    Column.SPECIES: "species,species name,scientific name,taxon,kind,art,espece,"
    "especie,specie,soort",
}
_MEANT = {
    spelling: column
    for column, spellings in _SPELLINGS.items()
    for spelling in spellings.split(",")
}
BY_CODE, PLAIN, BY_NAME = range(3)
"""How surely a heading means codes: the lowest of several columns is taken."""


def meaning(heading: str) -> tuple[Column, int] | None:
    """Return what a heading stands over, and how surely it means codes.

    Args:
        heading: as written; case, accents and punctuation do not matter.

    Returns:
        None for a heading that is not known.
    """
    words = tokens(heading)
    left = [word for word in words if word not in QUALIFIERS]
    surely = BY_CODE if len(left) < len(words) else PLAIN
    if not words:
        return None
    if not left:
        return Column.CODE, BY_CODE
    if len(left) == 1 and left[0] in NAMES:
        return (Column.CODE, BY_CODE) if surely is BY_CODE else (Column.NAME, PLAIN)
    if column := _MEANT.get(" ".join(left)):
        return column, surely
    if left[-1] in NAMES and (column := _MEANT.get(" ".join(left[:-1]))):
        named = column in (Column.DAM, Column.SIRE)
        return (column, BY_NAME) if named else (Column.NAME, BY_NAME)
    return None


def columns_of(header: Sequence[str]) -> dict[Column, int]:
    """Return where each kind of column stands.

    A file with names and no codes has its names taken for codes.

    Args:
        header: one heading a column.

    Raises:
        PedigreeFileError: two columns mean the same, as far as headings can tell.
    """
    found: dict[Column, tuple[int, int]] = {}
    for at, heading in enumerate(header):
        meant = meaning(heading)
        if meant is None:
            continue
        column, surely = meant
        held = found.get(column)
        if held is not None and held[0] == surely:
            raise PedigreeFileError(
                f"The columns {header[held[1]]!r} and {heading!r} both seem to be the "
                f"{column.value}. Give one of them another heading, or leave it out.",
                fields={"file": f"one column for the {column.value}"},
            )
        if held is None or surely < held[0]:
            found[column] = surely, at
    if Column.CODE not in found and Column.NAME in found:
        found[Column.CODE] = found.pop(Column.NAME)
    return {column: at for column, (_, at) in found.items()}


def is_pedigree_header(columns: dict[Column, int]) -> bool:
    """Say whether columns can hold a pedigree: an animal, and a parent at least."""
    return Column.CODE in columns and bool({Column.DAM, Column.SIRE} & set(columns))
