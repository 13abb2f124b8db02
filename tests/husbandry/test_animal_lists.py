"""Lists of animals: registered in few queries, held to the rules one by one."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry
from core.row_refusals import RowRefusal, RowsRefusedError
from husbandry.actions import animal_lists
from husbandry.actions.animal_lists import (
    AnimalRow,
    register_all_animals,
    register_animals,
)
from husbandry.actions.animals import register_animal
from husbandry.models import Animal
from husbandry.rules.animals import AnimalError
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)
from tests.factories import NOW, TODAY, AnimalFactory, SpeciesFactory, UserFactory

pytestmark = pytest.mark.django_db
PANTHER = "another_species"
ROW = AnimalRow("V-1", "veiled_chameleon", TODAY)
FULL = AnimalRow(
    " V-2 ",
    "veiled_chameleon",
    TODAY,
    dam="V-0",
    name=" Juno ",
    sex=Sex.FEMALE,
    sex_basis=SexBasis.HEEL_SPUR,
    sex_confidence=Confidence.CONFIRMED,
    hatched_on=date(2025, 11, 1),
    hatched_precision=DatePrecision.MONTH,
    origin=Origin.BORN_ELSEWHERE,
    origin_note="From a show.",
    microchip="276 098 100 000 001",
    notes="Shy.",
)


@pytest.fixture(autouse=True)
def _species(db: None) -> None:
    SpeciesFactory()
    SpeciesFactory(code=PANTHER)


def codes(results: Any) -> list[str]:
    return [result.code for result in results]


def test_an_animal_of_a_list_is_as_one_registered_alone() -> None:
    dam, person = AnimalFactory(code="V-0"), UserFactory()

    (result,) = register_animals(rows=[FULL], by=person, at=NOW)

    assert result.animal is not None
    listed = Animal.objects.get(code="V-2")
    alone = register_animal(
        code="V-3",
        species=dam.species,
        arrived_on=TODAY,
        by=person,
        at=NOW,
        dam=dam,
        name=" Juno ",
        sex=Sex.FEMALE,
        sex_basis=SexBasis.HEEL_SPUR,
        sex_confidence=Confidence.CONFIRMED,
        hatched_on=date(2025, 11, 1),
        hatched_precision=DatePrecision.MONTH,
        origin=Origin.BORN_ELSEWHERE,
        origin_note="From a show.",
        microchip="276 098 100 000 002",
        notes="Shy.",
    )
    own = {"_state", "id", "code", "microchip"}
    assert _values(listed, own) == _values(alone, own)
    assert listed.microchip == "276098100000001"
    one, other = AuditEntry.objects.order_by("pk")
    assert (one.verb, one.by, one.at) == (other.verb, other.by, other.at)
    assert _but(one.after, "code", "microchip") == _but(
        other.after, "code", "microchip"
    )


def _values(animal: Animal, without: set[str]) -> dict[str, Any]:
    fresh = Animal.objects.get(pk=animal.pk)
    return {k: v for k, v in vars(fresh).items() if k not in without}


def _but(values: dict[str, Any], *names: str) -> dict[str, Any]:
    return {k: v for k, v in values.items() if k not in names}


def test_an_empty_list_is_an_empty_answer() -> None:
    assert register_animals(rows=[], by=None, at=NOW) == ()
    assert not AuditEntry.objects.exists()


def test_a_bad_row_does_not_keep_the_others_out() -> None:
    AnimalFactory(code="V-0", microchip="276098100000009")
    AnimalFactory(code="male", male=True)

    rows = [
        ROW,
        replace(ROW, code="V-0"),  # taken
        replace(ROW, code="V-1"),  # taken by the first row
        replace(ROW, code=" "),
        replace(ROW, code="V-4", species="nobody"),
        replace(ROW, code="V-5", arrived_on=TODAY + timedelta(days=2)),
        replace(ROW, code="V-6", hatched_on=TODAY),  # no precision
        replace(ROW, code="V-7", sex=Sex.MALE),  # sexed by nothing
        replace(ROW, code="V-8", microchip="999000000000001"),  # a test number
        replace(ROW, code="V-9", microchip="276 098 100 000 009"),  # another's
        replace(ROW, code="V-10", dam="nobody"),
        replace(ROW, code="V-11", dam="male"),
        replace(ROW, code="V-12", sire="V-4"),  # refused above
        replace(ROW, code="V-13", sire="V-14"),  # only later
        replace(ROW, code="V-14", microchip="276098100000010"),
        replace(ROW, code="V-15", microchip="276098100000010"),
    ]

    results = register_animals(rows=rows, by=None, at=NOW)

    assert codes(results) == [
        "",
        *["animal_refused"] * 6,
        "sex_refused",
        "microchip_refused",
        "microchip_refused",
        "animal_refused",
        "parent_refused",
        "animal_refused",
        "animal_refused",
        "",
        "microchip_refused",
    ]
    assert [r.animal.code if r.animal else None for r in results] == [
        *("V-1", *[None] * 13),
        *("V-14", None),
    ]
    assert Animal.objects.filter(code__startswith="V-").count() == 3
    assert AuditEntry.objects.count() == 2
    assert "There is no species 'nobody'" in results[4].sentence
    assert results[10].sentence == (
        "There is no animal 'nobody' to be its dam. Name one that is on record, or "
        "that stands in an earlier row of the list."
    )
    assert results[12].sentence == (
        "Its sire V-4 stands in this list and was refused itself. Mend that row first."
    )


def test_parents_may_stand_in_an_earlier_row() -> None:
    rows = [
        replace(ROW, code="D"),
        replace(ROW, code="S"),
        replace(ROW, code="Y", dam="D", sire="S"),
        replace(ROW, code="G", dam="Y"),
        replace(ROW, code="X", dam="D", sire="D"),
        replace(ROW, code="P", species=PANTHER, dam="D"),
    ]

    results = register_animals(rows=rows, by=None, at=NOW)

    assert codes(results) == ["", "", "", "", "parent_refused", "parent_refused"]
    assert "cannot be both dam and sire" in results[4].sentence
    assert "of another species" in results[5].sentence
    young, grandchild = Animal.objects.get(code="Y"), Animal.objects.get(code="G")
    assert (str(young.dam), str(young.sire)) == ("D", "S")
    assert grandchild.dam == young
    entry = AuditEntry.objects.get(subject_id=str(young.pk))
    assert (entry.after["dam"], entry.after["sire"]) == (young.dam_id, young.sire_id)


def test_a_parent_on_record_is_meant_even_where_its_row_is_refused() -> None:
    dam = AnimalFactory(code="D")

    results = register_animals(
        rows=[replace(ROW, code="D"), replace(ROW, code="Y", dam="D")], by=None, at=NOW
    )

    assert codes(results) == ["animal_refused", ""]
    assert Animal.objects.get(code="Y").dam == dam


def test_as_many_queries_for_many_as_for_one() -> None:
    AnimalFactory(code="D")

    def queries(first: int, rows: int) -> int:
        parents = [replace(ROW, code=f"P-{first}", dam="D")]
        young = [
            replace(ROW, code=f"Y-{first}-{n}", dam=f"P-{first}") for n in range(rows)
        ]
        with CaptureQueriesContext(connection) as seen:
            results = register_animals(rows=[*parents, *young], by=None, at=NOW)
        assert codes(results) == [""] * (rows + 1)
        return len(seen)

    # SQLite writes some fifty rows a statement.
    assert queries(1, 1) == queries(2, 40)


def test_all_or_none() -> None:
    rows = [ROW, replace(ROW, code="V-2", species="nobody")]
    unread = [RowRefusal(1, "unreadable", "arrived_on cannot be read.")]

    with pytest.raises(RowsRefusedError) as caught:
        register_all_animals(rows=rows, unread=unread, by=None, at=NOW)

    assert [(r.place, r.code) for r in caught.value.refusals] == [
        (1, "unreadable"),
        (2, "animal_refused"),
    ]
    assert not Animal.objects.exists()
    assert not AuditEntry.objects.exists()

    results = register_all_animals(rows=rows[:1], by=None, at=NOW)

    assert codes(results) == [""]
    assert Animal.objects.get().code == "V-1"


def test_a_race_registers_none_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """The database refuses a code that was free when it was looked up."""
    AnimalFactory(code="V-1")
    looked_up = animal_lists._open_book

    def too_early(*args: Any, **kwargs: Any) -> Any:
        book = looked_up(*args, **kwargs)
        book.known = {}
        return book

    monkeypatch.setattr(animal_lists, "_open_book", too_early)

    with pytest.raises(AnimalError, match="at this moment") as caught:
        register_animals(rows=[replace(ROW, code="V-2"), ROW], by=None, at=NOW)

    assert isinstance(caught.value.__cause__, IntegrityError)
    assert Animal.objects.get().code == "V-1"
