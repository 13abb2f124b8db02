"""The register says each coming and going once, by numbers without a gap."""

import importlib
from datetime import timedelta
from random import Random
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry
from placements.actions.register import RegisterBusyError, write_register
from placements.models import RegisterEntry
from placements.queries.register import numbers_are_whole
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    AnimalPaperFactory,
    ArrivalFactory,
    HomeFactory,
    IntakeFactory,
    PlacementFactory,
    RegisterEntryFactory,
    SpeciesFactory,
)
from tests.placements.histories import Life, Maker

guard = importlib.import_module("placements.migrations.0003_register_append_only")
# Counted by the tables alone, without this program's rules.
COUNTS = """
SELECT (SELECT COUNT(*) FROM husbandry_animal WHERE status <> 'elsewhere')
     + (SELECT COUNT(*) FROM husbandry_earliercare) AS came,
       (SELECT COUNT(*) FROM husbandry_animal
         WHERE status <> 'elsewhere' AND left_on IS NOT NULL)
     + (SELECT COUNT(*) FROM husbandry_earliercare)
     + (SELECT COUNT(*) FROM placements_placement WHERE follows_id IS NOT NULL)
     + (SELECT COUNT(*) FROM placements_placement
         WHERE state = 'died_there' AND kind IN ('foster', 'loan')) AS went
"""


def write(**more: Any) -> int:
    return write_register(by=None, at=NOW, **more)


def told_of(life: Life) -> list[tuple[Any, str, str]]:
    rows = RegisterEntry.objects.filter(animal=life.animal).order_by("number")
    return list(rows.values_list("on", "direction", "how"))


def numbers() -> list[int]:
    return list(RegisterEntry.objects.values_list("number", flat=True))


@pytest.mark.django_db
@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_each_coming_and_going_has_one_line(seed: int) -> None:
    lives = list(Maker(Random(seed)).lives(40))

    written = write()

    for life in lives:
        assert told_of(life) == life.told
    with connection.cursor() as cursor:
        cursor.execute(COUNTS)
        came, went = cursor.fetchone()
    rows = RegisterEntry.objects
    assert (came, went) == (
        rows.filter(direction="came").count(),
        rows.filter(direction="left").count(),
    )
    assert numbers() == list(range(1, written + 1))
    assert numbers_are_whole()


@pytest.mark.django_db
def test_written_after_each_event_it_says_the_same(db: None) -> None:
    """As it is in a house: one animal at a time, with the night in between."""
    maker = Maker(Random(9))
    lives = []
    for _ in range(12):
        life = maker.life()
        lives.append(life)
        write(animal_ids=[life.animal.pk])
        assert write() == 0

    for life in lives:
        assert told_of(life) == life.told
    assert numbers() == list(range(1, sum(len(life.told) for life in lives) + 1))


@pytest.mark.django_db
def test_nothing_is_written_of_nobody_nor_of_an_ancestor_elsewhere() -> None:
    AnimalFactory.create(status="elsewhere", left_on=TODAY)

    assert write() == 0
    assert not AuditEntry.objects.exists()


@pytest.mark.django_db
def test_a_line_says_who_it_was_as_of_then_and_from_whom_by_reference() -> None:
    home = HomeFactory.create(name="Household Lumbrales", contact="9 Hidden Lane")
    dam, sire = AnimalFactory.create(), AnimalFactory.create(male=True)
    animal = AnimalFactory.create(
        arrived_on=TODAY, microchip="968000001234567", dam=dam, sire=sire
    )
    arrival = ArrivalFactory.create(source="seizure", home=home)
    IntakeFactory.create(animal=animal, arrival=arrival)
    AnimalPaperFactory.create(
        animal=animal, kind="cites_certificate", number="CC-1", cites_source="F"
    )
    AnimalPaperFactory.create(
        animal=animal, number="ended", valid_until=TODAY - timedelta(1)
    )

    write(animal_ids=[animal.pk])

    line = RegisterEntry.objects.get()
    assert (line.number, line.how, line.home, line.arrival) == (
        *(1, "seizure"),
        *(home, arrival),
    )
    assert (line.animal_code, line.scientific_name) == (
        animal.code,
        "Chamaeleo calyptratus",
    )
    assert line.facts == {
        "species": "veiled_chameleon",
        "sex": "female",
        "sex_confidence": "confirmed",
        "hatched_on": "2024-09-01",
        "hatched_precision": "day",
        "microchip": "968000001234567",
        "dam": dam.code,
        "sire": sire.code,
        "origin": "born_elsewhere",
        "papers": [{"kind": "cites_certificate", "number": "CC-1"}],
        "cites_sources": ["F"],
    }
    audited = AuditEntry.objects.get()
    assert (audited.verb, audited.after) == ("write_register", {"first": 1, "last": 1})
    assert "Lumbrales" not in f"{line.facts}{line.note}{audited.after}"


@pytest.mark.django_db
def test_what_is_put_right_is_a_new_line_and_the_old_one_stays() -> None:
    animal = AnimalFactory.create(species=SpeciesFactory(code="not-yet-known"))
    write()
    animal.species = SpeciesFactory()
    animal.save()

    assert write() == 1
    assert write() == 0

    first, second = RegisterEntry.objects.all()
    assert second.corrects == first
    assert second.facts["species"] == "veiled_chameleon"
    assert first.facts["species"] == "not-yet-known"
    assert second.note == (
        "Line 1: species not-yet-known was put right to veiled_chameleon"
    )


@pytest.mark.django_db
def test_what_is_no_more_on_record_is_struck_out_once() -> None:
    animal = AnimalFactory.create(left=True)
    write()
    animal.status, animal.left_on = "in_care", None
    animal.save()

    assert (write(), write()) == (1, 0)
    animal.status, animal.left_on = "lost", TODAY
    animal.save()

    assert (write(), write()) == (1, 0)
    assert [
        (e.number, e.how, e.facts.get("struck")) for e in RegisterEntry.objects.all()
    ] == [
        *((1, "not_said", None), (2, "not_said", None)),
        *((3, "not_said", 2), (4, "loss", None)),
    ]


@pytest.mark.django_db
def test_numbers_go_on_after_a_write_that_was_undone() -> None:
    AnimalFactory.create()

    with transaction.atomic():
        assert write() == 1
        transaction.set_rollback(True)

    AnimalFactory.create()
    assert (write(), numbers()) == (2, [1, 2])


@pytest.mark.django_db
def test_as_many_queries_for_many_as_for_one() -> None:
    def counted() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            write()
        return len(queries)

    PlacementFactory.create(
        animal=AnimalFactory.create(left=True),
        state="handed_over",
        handed_over_on=TODAY,
    )
    one = counted()
    list(Maker(Random(5)).lives(10))

    assert counted() == one


# Every number is taken, as if others wrote without end.
TAKEN = {
    "sqlite": """
        CREATE TRIGGER taken BEFORE INSERT ON placements_registerentry
        BEGIN SELECT RAISE(ABORT, 'UNIQUE constraint failed'); END
    """,
    "postgresql": """
        CREATE TRIGGER taken BEFORE INSERT ON placements_registerentry
        FOR EACH ROW EXECUTE FUNCTION core_refuse_change()
    """,
}


@pytest.mark.django_db
def test_a_number_that_others_take_again_and_again_is_refused_in_words() -> None:
    AnimalFactory.create()
    with connection.cursor() as cursor:
        cursor.execute(TAKEN[connection.vendor])

    with pytest.raises(RegisterBusyError, match="Try again in a moment"):
        write()

    assert not RegisterEntry.objects.exists()
    assert not AuditEntry.objects.exists()


@pytest.fixture
def guarded(db: None) -> None:
    # The session drops this one trigger on SQLite, so that tables can be emptied
    # after tests; here it is made again from the migration, in this transaction.
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(guard.SQLITE_NO_DELETE)


@pytest.mark.usefixtures("guarded")
def test_a_line_cannot_be_altered() -> None:
    line = RegisterEntryFactory.create()

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        RegisterEntry.objects.filter(pk=line.pk).update(how="stray")

    line.refresh_from_db()
    assert line.how == "not_said"


@pytest.mark.usefixtures("guarded")
def test_a_line_cannot_be_removed() -> None:
    line = RegisterEntryFactory.create()

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        line.delete()

    assert RegisterEntry.objects.filter(pk=line.pk).exists()
