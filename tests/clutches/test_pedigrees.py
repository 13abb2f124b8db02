"""Pedigree files taken in: what is on record then, and what it costs."""

from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions import pedigrees
from clutches.actions.pedigrees import import_pedigree, try_pedigree
from clutches.queries.pedigrees import pedigree_records
from clutches.rules.pedigrees.reports import PedigreeReport
from core.models import AuditEntry
from husbandry.models import Animal, Species
from husbandry.rules.animals import AnimalError
from husbandry.rules.vocabulary import AnimalStatus
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CandidateSireFactory,
    HatchlingFactory,
    SpeciesFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
UNDATED: dict[str, object] = {"hatched_on": None, "hatched_precision": "unknown"}
# Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1, in a
# keeper's hand.
MRODE = """Calf;Dam;Sire;Sex
3;2;1;f
6;2;5;?
1;unk;Unknown;1.0
2;WC;--;0.1
4;?;1;m
5;3;4;M
""".replace("Calf", "Animal")


@pytest.fixture
def species() -> Species:
    return SpeciesFactory.create()


def take(text: str, **given: object) -> PedigreeReport:
    asked = {
        "data": text.encode(),
        "file_name": "herd.csv",
        "species": None,
        "day_order": None,
        "on": TODAY,
        "by": None,
        "at": NOW,
    }
    return import_pedigree(**{**asked, **given})  # type: ignore[arg-type] # as above


def on_record() -> dict[str, tuple[str | None, str | None]]:
    rows = Animal.objects.values_list("code", "dam__code", "sire__code")
    return {code: (dam, sire) for code, dam, sire in rows}


def test_mrodes_table_is_on_record_as_in_the_book(species: Species) -> None:
    report = take(MRODE, by=UserFactory.create())

    assert on_record() == {
        "1": (None, None),
        "2": (None, None),
        "3": ("2", "1"),
        "4": (None, "1"),
        "5": ("3", "4"),
        "6": ("2", "5"),
    }
    assert report.sentences() == ("herd.csv: 6 lines read: 6 animals put on record.",)
    assert set(
        Animal.objects.values_list("status", "arrived_on", "left_on", "species")
    ) == {("elsewhere", TODAY, TODAY, species.pk)}
    assert set(Animal.objects.values_list("code", "sex", "sex_basis")) == {
        ("1", "male", "reported"),
        ("2", "female", "reported"),
        ("3", "female", "reported"),
        ("4", "male", "reported"),
        ("5", "male", "reported"),
        ("6", "unknown", "not_sexed"),
    }
    entries = AuditEntry.objects.filter(verb="register_ancestor")
    assert entries.count() == 6
    five = Animal.objects.get(code="5")
    assert entries.get(subject_id=five.pk).after["dam"] == five.dam_id


def test_the_same_file_twice_changes_nothing(species: Species) -> None:
    take(MRODE)
    before = (on_record(), AuditEntry.objects.count())

    report = take(MRODE)

    assert (on_record(), AuditEntry.objects.count()) == before
    assert not report.changes_something()
    assert report.known == 6


def test_a_dry_run_says_the_same_and_stores_nothing(species: Species) -> None:
    tried = try_pedigree(
        data=MRODE.encode(),
        file_name="herd.csv",
        species=None,
        day_order=None,
        at=NOW,
    )

    assert not Animal.objects.exists()
    assert tried.sentences() == (
        "herd.csv: 6 lines read: 6 animals would be put on record. Nothing was stored: "
        "this was a dry run.",
    )
    assert take(MRODE).lines == tried.lines


def test_parents_are_filled_in_and_the_trail_says_from_where(species: Species) -> None:
    animal = AnimalFactory.create(code="V-1", name="Juno")
    dam = AnimalFactory.create(code="V-2", **UNDATED)

    report = take("id,dam,sire,hatched\nV-1,V-2,V-3,2024\nV-4,V-1,,\n")

    animal.refresh_from_db()
    assert (animal.dam, animal.sire.code) == (dam, "V-3")
    assert (animal.status, animal.hatched_on) == ("in_care", date(2024, 9, 1))
    entry = AuditEntry.objects.get(verb="correct_animal")
    assert (entry.before, entry.after, entry.reason) == (
        {"dam": None, "sire": None},
        {"dam": dam.pk, "sire": animal.sire_id},
        "From the pedigree file herd.csv.",
    )
    assert (report.filled_in, report.registered, report.named_only) == (1, 1, ("V-3",))


def test_a_second_file_says_more_of_who_was_only_named(species: Species) -> None:
    take("id,dam,sire\nV-1,V-2,V-3\n")

    take("id,name,dam,hatched\nV-3,Rigo,V-9,05/2020\n")
    take("id,dam,sex\nV-1,?,m\n")

    rigo = Animal.objects.get(code="V-3")
    assert (rigo.name, rigo.sex, rigo.dam.code) == ("Rigo", "male", "V-9")
    assert (rigo.hatched_on, rigo.hatched_precision) == (date(2020, 5, 1), "month")
    pip = Animal.objects.get(code="V-1")
    assert (pip.sex, pip.sex_basis, pip.sex_confidence) == (
        "male",
        "reported",
        "likely",
    )


def test_a_loop_names_its_path_and_the_rest_is_kept(species: Species) -> None:
    dam = AnimalFactory.create(code="V-2", **UNDATED)
    AnimalFactory.create(code="V-1", dam=dam, **UNDATED)

    report = take("id,dam,sire\nV-2,V-1,\nV-5,V-2,\n")

    assert on_record() == {
        "V-1": ("V-2", None),
        "V-2": (None, None),
        "V-5": ("V-2", None),
    }
    assert report.sentences()[1] == (
        "Line 2, V-2: V-2 would descend from itself: V-2 ← V-1 ← V-2. Mend one of "
        "these parents. It was left out; the animal stays."
    )


def test_candidate_sires_are_known_whosever_they_are(species: Species) -> None:
    hatchling = HatchlingFactory.create(animal__sire=None)
    own, sire = AnimalFactory.create(), AnimalFactory.create(male=True)
    CandidateSireFactory.create(clutch=hatchling.clutch, sire=sire)
    CandidateSireFactory.create(clutch=None, animal=own, sire=sire)

    open_ = {a.id: a.candidates for a in pedigree_records().animals if a.candidates}

    assert open_ == {hatchling.animal_id: (sire.pk,), own.pk: (sire.pk,)}


def test_what_changed_in_the_meantime_is_not_overwritten(
    species: Species, monkeypatch: pytest.MonkeyPatch
) -> None:
    animal = AnimalFactory.create(code="V-1", dam=None)
    AnimalFactory.create(code="V-2", **UNDATED)
    seen = pedigree_records()
    Animal.objects.filter(pk=animal.pk).update(dam=AnimalFactory.create(code="V-3"))
    # Another person's change between reading and locking, which is not to be timed.
    monkeypatch.setattr(pedigrees, "pedigree_records", lambda: seen)

    with pytest.raises(AnimalError, match="was changed in the meantime"):
        take("id,dam,sire\nV-1,V-2,V-4\n")
    with pytest.raises(AnimalError, match="has registered one of these animals"):
        take("id,dam,sire\nV-3,V-2,V-4\n")

    assert not Animal.objects.filter(code="V-4").exists()


def _queries(text: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        take(text)
    return len(queries)


def test_as_many_queries_for_thirty_rows_as_for_three(species: Species) -> None:
    def herd(first: int, rows: int) -> str:
        told = [
            f"K-{n},D-{n % 3}-{first},S-{first}" for n in range(first, first + rows)
        ]
        return "\n".join(["id,dam,sire", *told])

    few = _queries(herd(1000, 3))

    assert _queries(herd(2000, 30)) == few


def test_a_day_order_and_a_species_are_asked_by_the_command(
    species: Species, tmp_path: Path
) -> None:
    SpeciesFactory.create(code="ball_python", common_name="Ball python")
    file = tmp_path / "herd.csv"
    file.write_text("id,dam,hatched\nV-1,V-2,04/05/2024\n", encoding="utf-8")

    with pytest.raises(CommandError, match="Answer with --day-order dmy, mdy") as asked:
        call_command("import_pedigree", str(file))
    assert asked.value.returncode == 2
    with pytest.raises(CommandError, match="Answer with --species code"):
        call_command("import_pedigree", str(file), "--day-order=dmy")
    with pytest.raises(
        CommandError, match="no species 'gecko'; there are: ball_python"
    ):
        call_command("import_pedigree", str(file), "--species=gecko")

    said = StringIO()
    asked_for = ("--day-order=mdy", "--species=ball_python")
    call_command("import_pedigree", str(file), *asked_for, "--dry-run", stdout=said)
    assert not Animal.objects.exists()
    call_command("import_pedigree", str(file), *asked_for, stdout=said)
    assert Animal.objects.get(code="V-1").hatched_on == date(2024, 4, 5)
    assert said.getvalue().splitlines()[1] == (
        "herd.csv: 1 line read: 1 animal put on record; 1 animal only named as a parent "
        "put on record."
    )


def test_the_command_refuses_what_is_no_file_and_no_pedigree(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read") as missing:
        call_command("import_pedigree", str(tmp_path / "none.csv"))
    file = tmp_path / "weights.csv"
    file.write_text("id,mass\nV-1,3\n", encoding="utf-8")
    with pytest.raises(CommandError, match="No pedigree was found") as refused:
        call_command("import_pedigree", str(file))

    assert (missing.value.returncode, refused.value.returncode) == (2, 1)


def test_an_ancestor_is_not_among_the_animals_in_care(species: Species) -> None:
    take("id,dam\nV-1,V-2\n")

    assert not Animal.objects.filter(status=AnimalStatus.IN_CARE).exists()
