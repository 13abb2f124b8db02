"""The animals of a pedigree file, each once: its line, its record, what is known."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from clutches.rules.pedigrees.records import Known, Records
from clutches.rules.pedigrees.rows import ParsedPedigree, PedigreeRow, Said


@dataclass(frozen=True, slots=True)
class Labels:
    """By what two spellings of a code are the same animal: all but capitals.

    Attributes:
        doubled: codes that differ by capitals only on record; those must be exact.
    """

    doubled: frozenset[str]

    def key(self, code: str) -> str:
        """Return what the spellings of one code have in common."""
        folded = code.casefold()
        return code if folded in self.doubled else folded


def labels_of(codes: Iterable[str]) -> Labels:
    """Return how codes are compared, given all that are on record."""
    seen: set[str] = set()
    doubled = set()
    for code in codes:
        folded = code.casefold()
        if folded in seen:
            doubled.add(folded)
        seen.add(folded)
    return Labels(frozenset(doubled))


@dataclass(frozen=True, slots=True)
class Sorted:
    """A file's rows by animal.

    Attributes:
        rows: the one row of each animal.
        refused: what was said of lines that gave none, by animal.
        repeated: lines that say what an earlier one says, with that line.
    """

    rows: Mapping[str, PedigreeRow]
    refused: Mapping[str, tuple[tuple[str, Said], ...]]
    repeated: tuple[tuple[PedigreeRow, int], ...]


def sort_rows(parsed: ParsedPedigree, labels: Labels) -> Sorted:
    """Return the rows by animal; lines that contradict each other are refused.

    Args:
        parsed: the file's rows.
        labels: how codes are compared.
    """
    by_key: dict[str, list[PedigreeRow]] = defaultdict(list)
    for row in parsed.rows:
        by_key[labels.key(row.code)].append(row)
    refused: dict[str, list[tuple[str, Said]]] = defaultdict(list)
    for code, said in parsed.refused:
        refused[labels.key(code)].append((code, said))
    rows, repeated = {}, []
    for key, found in by_key.items():
        first, *others = sorted(found, key=lambda row: row.line)
        if all(first.says_the_same(other) for other in others) and key not in refused:
            rows[key] = first
            repeated += [(other, first.line) for other in others]
        else:
            refused[key] += _contradicting(found)
    return Sorted(rows, {k: tuple(v) for k, v in refused.items()}, tuple(repeated))


def _contradicting(found: Sequence[PedigreeRow]) -> Iterator[tuple[str, Said]]:
    lines = sorted(row.line for row in found)
    for row in found:
        others = ", ".join(str(line) for line in lines if line != row.line)
        text = (
            f"{row.code} stands in line {others} as well and says something else "
            "there. Keep the one that is true."
            if others
            else f"{row.code} has another line that cannot be read. Mend or delete it."
        )
        yield row.code, Said(row.line, text)


def disagreements(row: PedigreeRow, known: Known, species: int | None) -> str:
    """Return where a line contradicts what is on record of an animal, in words.

    Args:
        row: the line.
        known: the animal on record.
        species: key of the species that the line names; None: it names none.

    Returns:
        Empty where they fit. A year and a day within it fit.
    """
    if species is not None and species != known.species:
        return f"another species than {row.species!r}"
    if row.sex.value != "unknown" and known.sex.value not in ("unknown", row.sex):
        return f"{known.sex.value}, not {row.sex.value}"
    if not _dates_fit(row, known):
        on = f"{known.hatched_on:%d %b %Y}" if known.hatched_on else ""
        return f"hatched {on} (known to the {known.hatched_precision.value}), not then"
    return ""


def _dates_fit(row: PedigreeRow, known: Known) -> bool:
    own, on = row.hatched.on, known.hatched_on
    if own is None or on is None:
        return True
    least = {row.hatched.precision.value, known.hatched_precision.value}
    if "year" in least:
        return own.year == on.year
    if "month" in least:
        return (own.year, own.month) == (on.year, on.month)
    return own == on


def known_by_key(records: Records, labels: Labels) -> dict[str, Known]:
    """Return the animals on record by what the spellings of their codes share."""
    return {labels.key(animal.code): animal for animal in records.animals}
