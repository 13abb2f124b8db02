"""Register lists of animals: from a script or a file, of any kinds and days."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from core import audit
from core.errors import DomainError
from core.models import User
from core.row_refusals import RowRefusal, check_all_taken
from husbandry.actions.animal_records import (
    check_itself,
    chip_taken,
    code_taken,
    on_record,
    save_animals,
    set_details,
)
from husbandry.models import Animal, Species
from husbandry.queries.animals import relative
from husbandry.rules.animals import AnimalError
from husbandry.rules.parents import Relative, check_parents
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)

VERB = "register_animal"


@dataclass(frozen=True, slots=True)
class AnimalRow:
    """One animal of a list; what is left out is unknown.

    Attributes:
        species: code of its kind.
        dam: code of its mother, on record or in an earlier row of the list.
        sire: the same of its father.
        microchip: 15 or 10 digits, spaces and dashes allowed; "" for none.
    """

    code: str
    species: str
    arrived_on: date
    dam: str | None = None
    sire: str | None = None
    name: str = ""
    sex: Sex = Sex.UNKNOWN
    sex_basis: SexBasis = SexBasis.NOT_SEXED
    sex_confidence: Confidence = Confidence.UNCERTAIN
    hatched_on: date | None = None
    hatched_precision: DatePrecision = DatePrecision.UNKNOWN
    origin: Origin = Origin.UNKNOWN
    origin_note: str = ""
    microchip: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class AnimalResult:
    """What became of one row.

    Attributes:
        animal: the animal, or None where the row was refused.
        code: the refusal's code, or "".
        sentence: why it was refused, or "".
    """

    animal: Animal | None
    code: str = ""
    sentence: str = ""


@transaction.atomic
def register_animals(
    *, rows: Sequence[AnimalRow], by: User | None, at: datetime
) -> tuple[AnimalResult, ...]:
    """Register a list of animals; a bad row does not keep the others out.

    As many queries for many as for one. None has an enclosure yet.

    Args:
        rows: in their order; a parent stands in an earlier row than its young, or
            is on record. A row whose parent was refused is refused as well.
        by: the person.
        at: now.

    Returns:
        One result for each row, in the order given.

    Raises:
        AnimalError: somebody has taken one of the codes or chips in the meantime;
            then none is registered.
    """
    drafts = [_drafted(row) for row in rows]
    book = _open_book(rows, drafts, at=at)
    results = [book.enter(*line) for line in zip(rows, drafts, strict=True)]
    book.write(by=by)
    return tuple(results)


@transaction.atomic
def register_all_animals(
    *,
    rows: Sequence[AnimalRow],
    unread: Sequence[RowRefusal] = (),
    by: User | None,
    at: datetime,
) -> tuple[AnimalResult, ...]:
    """Register every animal of a list, or none of them.

    Args:
        rows: see `register_animals`.
        unread: rows of the same list that could not be read, by their places in
            it; with one of them none is registered.
        by: the person.
        at: now.

    Returns:
        One result for each row, in the order given.

    Raises:
        RowsRefusedError: rows are refused; it names each and why.
        AnimalError: somebody has taken one of the codes or chips in the meantime.
    """
    results = register_animals(rows=rows, by=by, at=at)
    check_all_taken(results, unread=unread)
    return results


def _drafted(row: AnimalRow) -> Animal | DomainError:
    """Return a record that is not saved, or why there can be none."""
    animal = Animal(code=row.code, arrived_on=row.arrived_on)
    try:
        set_details(
            animal,
            {
                "name": row.name,
                "sex": row.sex,
                "sex_basis": row.sex_basis,
                "sex_confidence": row.sex_confidence,
                "hatched_on": row.hatched_on,
                "hatched_precision": row.hatched_precision,
                "origin": row.origin,
                "origin_note": row.origin_note,
                "microchip": row.microchip,
                "notes": row.notes,
            },
        )
    except DomainError as refusal:
        return refusal
    return animal


_Line = tuple[Animal, Animal | None, Animal | None]
"""An animal that is not saved, its dam and its sire."""


@dataclass(slots=True)
class _Book:
    """What is on record, and what the list has added so far."""

    at: datetime
    species: Mapping[str, Species]
    known: Mapping[str, Animal]
    chips: set[str]
    drafts: dict[str, tuple[int, Animal]] = field(default_factory=dict)
    refused: set[str] = field(default_factory=set)
    entered: list[_Line] = field(default_factory=list)

    def enter(self, row: AnimalRow, draft: Animal | DomainError) -> AnimalResult:
        """Hold a row to the rules, and to the record and the rows before it."""
        try:
            if isinstance(draft, DomainError):
                raise draft
            self._check(row, draft)
        except DomainError as refusal:
            self.refused.add(row.code.strip())
            return AnimalResult(None, refusal.code, refusal.sentence)
        return AnimalResult(draft)

    def _check(self, row: AnimalRow, animal: Animal) -> None:
        animal.species = self._species(row.species)
        check_itself(animal, at=self.at)
        if animal.code in self.known or animal.code in self.drafts:
            raise code_taken(animal)
        if animal.microchip in self.chips:
            raise chip_taken(animal)
        dam, sire = self._parent(row.dam, "dam"), self._parent(row.sire, "sire")
        check_parents(
            relative(animal),
            dam=self._relative(dam),
            sire=self._relative(sire),
            # Nothing descends from an animal that is not on record yet.
            parents={},
            labels={},
        )
        self.drafts[animal.code] = (len(self.drafts), animal)
        if animal.microchip:
            self.chips.add(animal.microchip)
        self.entered.append((animal, dam, sire))

    def _species(self, code: str) -> Species:
        species = self.species.get(code)
        if species is None:
            raise AnimalError(
                f"There is no species {code!r}. Give the code of one on record.",
                fields={"species": "the code of a species"},
            )
        return species

    def _parent(self, code: str | None, part: str) -> Animal | None:
        if code is None:
            return None
        if code in self.known:
            return self.known[code]
        if code in self.drafts:
            return self.drafts[code][1]
        if code in self.refused:
            raise AnimalError(
                f"Its {part} {code} stands in this list and was refused itself. Mend "
                "that row first.",
                fields={part: "an animal that can be registered"},
            )
        raise AnimalError(
            f"There is no animal {code!r} to be its {part}. Name one that is on "
            "record, or that stands in an earlier row of the list.",
            fields={part: "the code of an animal on record or in an earlier row"},
        )

    def _relative(self, parent: Animal | None) -> Relative | None:
        """Return a parent; one of this list is told apart by its place in it."""
        if parent is None:
            return None
        if parent.code not in self.drafts:
            return relative(parent)
        place, _ = self.drafts[parent.code]
        return replace(relative(parent), id=-1 - place)

    def _is_new(self, parent: Animal | None) -> bool:
        return parent is not None and parent.code in self.drafts

    def write(self, *, by: User | None) -> None:
        """Store what was entered, with an audit entry each."""
        inner = []
        for animal, dam, sire in self.entered:
            if self._is_new(dam) or self._is_new(sire):
                inner.append((animal, dam, sire))
            else:
                animal.dam, animal.sire = dam, sire
        saved = save_animals([animal for animal, *_ in self.entered])
        # Only now do parents of the same list have keys to be named by.
        for animal, dam, sire in inner:
            animal.dam, animal.sire = dam, sire
        Animal.objects.bulk_update([animal for animal, *_ in inner], ["dam", "sire"])
        audit.record_all(
            [audit.Deed(animal, VERB, after=on_record(animal)) for animal in saved],
            by=by,
            at=self.at,
        )


def _open_book(
    rows: Sequence[AnimalRow],
    drafts: Sequence[Animal | DomainError],
    *,
    at: datetime,
) -> _Book:
    """Look up what the rows name; two queries."""
    codes = {row.code.strip() for row in rows}
    codes |= {code for row in rows for code in (row.dam, row.sire) if code}
    chips = {d.microchip for d in drafts if isinstance(d, Animal) and d.microchip}
    known = Animal.objects.filter(Q(code__in=codes) | Q(microchip__in=chips))
    animals = list(known.order_by("pk"))
    species = Species.objects.filter(code__in={row.species for row in rows})
    return _Book(
        at=at,
        species={one.code: one for one in species.order_by("pk")},
        known={animal.code: animal for animal in animals},
        chips={animal.microchip for animal in animals if animal.microchip},
    )
