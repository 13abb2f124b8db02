"""What is true of each animal of a file, once its line and its record are put together."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from clutches.rules.pedigrees.errors import PedigreeUndecidedError
from clutches.rules.pedigrees.records import Known, ParentRole, Records
from clutches.rules.pedigrees.rows import PedigreeRow, Said, wrong_code
from clutches.rules.pedigrees.subjects import (
    Labels,
    Sorted,
    disagreements,
)
from husbandry.rules.parents import Relative
from husbandry.rules.vocabulary import Confidence, DatePrecision, Sex


@dataclass(frozen=True, slots=True)
class Link:
    """A parent that a line names."""

    line: int
    young: str
    role: ParentRole
    parent: str
    written: str


@dataclass(frozen=True, slots=True)
class Subject:
    """One animal of the file or of the record as it would stand.

    Attributes:
        number: its key on record; negative for one that has none yet.
        row: its line; None: it is only named, or only on record.
        known: what is on record; None: nothing.
        fills: what the line adds to the record, by the names of its fields.
    """

    number: int
    code: str
    name: str
    species: int
    sex: Sex
    confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    row: PedigreeRow | None
    known: Known | None
    fills: frozenset[str] = frozenset()

    @property
    def label(self) -> str:
        """Return code and name, as people say them."""
        return f"{self.code} {self.name}".strip()

    def relative(self) -> Relative:
        """Return it as the rules about parents see it."""
        return Relative(
            id=self.number,
            label=self.label,
            species=self.species,
            sex=self.sex,
            hatched_on=self.hatched_on,
            hatched_precision=self.hatched_precision,
        )


@dataclass(slots=True)
class Gathered:
    """The animals of a file and what was said while they were put together."""

    subjects: dict[str, Subject] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    refused: dict[str, list[tuple[str, Said]]] = field(default_factory=dict)
    said: list[Said] = field(default_factory=list)


def gather(
    found: Sorted,
    known: Mapping[str, Known],
    records: Records,
    *,
    labels: Labels,
    species: int | None,
) -> Gathered:
    """Put together each animal's line, its record, and who is only named.

    Args:
        found: the file's rows by animal.
        known: the animals on record, by what the spellings of their codes share.
        records: what is on record.
        labels: how codes are compared.
        species: key of the species of animals whose line names none; None: not said.

    Raises:
        PedigreeUndecidedError: an animal is new and of no species that is known.
    """
    gathered = Gathered(refused={k: list(v) for k, v in found.refused.items()})
    usual = species or records.only_species
    unsure: list[PedigreeRow] = []
    for key, row in found.rows.items():
        _take_row(gathered, key, row, known.get(key), records, usual, unsure)
    if unsure:
        first = min(unsure, key=lambda row: row.line)
        raise PedigreeUndecidedError(
            f"Of which species is {first.code} (line {first.line})? The file does not "
            "say, and several are on record, so nothing was taken. Name the species "
            "for all lines that name none.",
            fields={"species": "code of a species"},
        )
    _take_named(gathered, known, labels)
    return gathered


def _take_row(
    gathered: Gathered,
    key: str,
    row: PedigreeRow,
    known: Known | None,
    records: Records,
    usual: int | None,
    unsure: list[PedigreeRow],
) -> None:
    named = records.species.get(row.species.casefold()) if row.species else None
    if row.species and named is None:
        codes = ", ".join(sorted(records.species)[:8])
        wrong = f"{row.species!r} is no species on record; those are: {codes}."
    elif known is not None and (against := disagreements(row, known, named)):
        wrong = (
            f"{known.label} is on record as {against}. Correct the file or the animal; "
            "nothing of this line was taken."
        )
    else:
        wrong = ""
    if wrong:
        gathered.refused.setdefault(key, []).append((row.code, Said(row.line, wrong)))
    elif known is not None:
        gathered.subjects[key] = _filled(row, known)
    elif named is None and usual is None:
        unsure.append(row)
    else:
        gathered.subjects[key] = _new(gathered, row, named or usual or 0)


def _filled(row: PedigreeRow, known: Known) -> Subject:
    """Return an animal on record; only of one that was never here a line adds more."""
    adds = set()
    if known.never_here:
        if row.name and not known.name:
            adds.add("name")
        if row.sex is not Sex.UNKNOWN and known.sex is Sex.UNKNOWN:
            adds.add("sex")
        if row.hatched.on is not None and known.hatched_on is None:
            adds.add("hatched")
    dated = "hatched" in adds
    return Subject(
        number=known.id,
        code=known.code,
        name=row.name if "name" in adds else known.name,
        species=known.species,
        sex=row.sex if "sex" in adds else known.sex,
        confidence=row.confidence,
        hatched_on=row.hatched.on if dated else known.hatched_on,
        hatched_precision=row.hatched.precision if dated else known.hatched_precision,
        row=row,
        known=known,
        fills=frozenset(adds),
    )


def on_record(known: Known, row: PedigreeRow | None) -> Subject:
    """Return an animal as it stands on record, nothing added."""
    return Subject(
        number=known.id,
        code=known.code,
        name=known.name,
        species=known.species,
        sex=known.sex,
        confidence=Confidence.UNCERTAIN,
        hatched_on=known.hatched_on,
        hatched_precision=known.hatched_precision,
        row=row,
        known=known,
    )


def _new(gathered: Gathered, row: PedigreeRow, species: int) -> Subject:
    return Subject(
        number=-1 - len(gathered.subjects),
        code=row.code,
        name=row.name,
        species=species,
        sex=row.sex,
        confidence=row.confidence,
        hatched_on=row.hatched.on,
        hatched_precision=row.hatched.precision,
        row=row,
        known=None,
    )


def _take_named(gathered: Gathered, known: Mapping[str, Known], labels: Labels) -> None:
    """Add who is named as a parent and has no line, and all links between them."""
    for key, links in _named(gathered.subjects, labels).items():
        wrong = "" if key in known else wrong_code(links[0].written)
        if wrong:
            gathered.said += [
                Said(link.line, f"Its {link.role} was left out: {wrong}")
                for link in links
            ]
            continue
        gathered.links += links
        if key not in gathered.subjects and key not in gathered.refused:
            held = known.get(key)
            gathered.subjects[key] = (
                on_record(held, None) if held else _only_named(gathered, links)
            )


def _named(subjects: Mapping[str, Subject], labels: Labels) -> dict[str, list[Link]]:
    """Return the links that the lines give, by the parent that is named."""
    named: dict[str, list[Link]] = defaultdict(list)
    rows = {key: subject.row for key, subject in subjects.items() if subject.row}
    for key, row in rows.items():
        for role, code in ((ParentRole.DAM, row.dam), (ParentRole.SIRE, row.sire)):
            if code:
                link = Link(row.line, key, role, labels.key(code), code)
                named[link.parent].append(link)
    return named


def _only_named(gathered: Gathered, links: list[Link]) -> Subject:
    """Return a parent without a line, of the species of its first young."""
    first = min(links, key=lambda link: (gathered.subjects[link.young].code, link.line))
    return Subject(
        number=-1 - len(gathered.subjects),
        code=min(link.written for link in links),
        name="",
        species=gathered.subjects[first.young].species,
        sex=Sex.UNKNOWN,
        confidence=Confidence.LIKELY,
        hatched_on=None,
        hatched_precision=DatePrecision.UNKNOWN,
        row=None,
        known=None,
    )
