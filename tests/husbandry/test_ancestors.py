"""Animals that were never in care here: on record, and nothing else."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest

from core.errors import DomainError
from core.models import AuditEntry
from husbandry.actions.ancestors import register_ancestor, register_ancestors
from husbandry.actions.animals import correct_animal, mark_left
from husbandry.actions.deaths import record_death
from husbandry.actions.feeding_orders import order_feeding
from husbandry.actions.health_tests import record_test
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.actions.reproduction import record_reproductive_state
from husbandry.actions.stays import move_animal
from husbandry.actions.weights import record_weighing
from husbandry.models import Animal
from husbandry.queries.animals import animal_lines
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DatePrecision,
    FeedingOrderKind,
    HealthTestKind,
    ObservationKind,
    Observed,
    Reproduction,
    RowOutcome,
    Sex,
    SexBasis,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    EnclosureFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
NEVER = "was never in care here; it is on record as an ancestor only"


@pytest.fixture
def ancestor() -> Animal:
    return register_ancestor(
        code=" A-1 ",
        species=SpeciesFactory.create(),
        on=TODAY,
        by=None,
        at=NOW,
        sex=Sex.FEMALE,
        sex_basis=SexBasis.REPORTED,
        hatched_on=date(2020, 1, 1),
        hatched_precision=DatePrecision.YEAR,
    )


def test_an_ancestor_is_on_record_and_nowhere_else(ancestor: Animal) -> None:
    ancestor.refresh_from_db()

    assert (ancestor.code, ancestor.status) == ("A-1", "elsewhere")
    assert (ancestor.arrived_on, ancestor.left_on) == (TODAY, TODAY)
    assert AuditEntry.objects.get().verb == "register_ancestor"
    for on in (TODAY - DAY, TODAY, TODAY + DAY):
        assert animal_lines(at=NOW, on=on, site=None) == ()
    left = (AnimalStatus.PLACED, AnimalStatus.DEAD, AnimalStatus.LOST)
    assert animal_lines(at=NOW, on=TODAY, site=None, statuses=left) == ()


def test_an_ancestor_is_held_to_the_rules_of_animals(ancestor: Animal) -> None:
    asked = {"species": ancestor.species, "on": TODAY, "by": None, "at": NOW}

    for code, sentence in (("A-1", "There is an animal A-1 already"), ("", "no code")):
        with pytest.raises(DomainError, match=sentence):
            register_ancestor(code=code, **asked)
    with pytest.raises(DomainError, match="needs a basis"):
        register_ancestor(code="A-2", sex=Sex.MALE, **asked)
    with pytest.raises(DomainError, match="female and cannot be the sire"):
        register_ancestor(code="A-2", sire=ancestor, **asked)


def test_many_ancestors_are_registered_with_an_entry_each(ancestor: Animal) -> None:
    rows = [
        Animal(code=f"B-{n}", species=ancestor.species, dam=ancestor) for n in range(3)
    ]

    saved = register_ancestors(animals=rows, on=TODAY, by=None, at=NOW)

    assert {a.status for a in saved} == {"elsewhere"}
    entries = AuditEntry.objects.filter(after__dam=ancestor.pk)
    assert sorted(e.subject_id for e in entries) == sorted(str(a.pk) for a in saved)


Deed = Callable[[Animal], object]
DEEDS: dict[str, Deed] = {
    "weighed": lambda animal: record_weighing(
        animal=animal, mass_g=Decimal(100), at=NOW - DAY, by=None, recorded_at=NOW
    ),
    "lost": lambda animal: mark_left(
        animal=animal, status=AnimalStatus.LOST, on=TODAY, by=None, at=NOW
    ),
    "dead": lambda animal: record_death(
        animal=animal,
        on=TODAY,
        circumstances="Found.",
        euthanised_by="",
        by=None,
        at=NOW,
    ),
    "moved": lambda animal: move_animal(
        animal=animal, to=EnclosureFactory.create(), by=None, at=NOW
    ),
    "tested": lambda animal: record_test(
        animal=animal,
        kind=HealthTestKind.FAECAL,
        taken_on=TODAY,
        laboratory="",
        expected_on=None,
        by=None,
        at=NOW,
    ),
    "fed by order": lambda animal: order_feeding(
        animal=animal,
        kind=FeedingOrderKind.FAST,
        from_on=TODAY,
        until_on=TODAY,
        every_days=None,
        portion=None,
        unit="",
        reason="The vet's word.",
        by=None,
        at=NOW,
    ),
    "gravid": lambda animal: record_reproductive_state(
        animal=animal, state=Reproduction.GRAVID, on=TODAY, basis="", by=None, at=NOW
    ),
}


@pytest.mark.parametrize("deed", DEEDS)
def test_nothing_can_be_recorded_of_an_ancestor(deed: str, ancestor: Animal) -> None:
    with pytest.raises(DomainError, match=NEVER):
        DEEDS[deed](ancestor)


def test_the_care_book_refuses_a_line_about_an_ancestor(ancestor: Animal) -> None:
    row = ObservationRow(
        animal="A-1",
        at=NOW - DAY,
        kind=ObservationKind.DROPPINGS,
        observed=Observed.FORMED,
    )

    (result,) = record_observations(rows=[row], by=None, recorded_at=NOW)

    assert result.outcome is RowOutcome.REFUSED
    assert NEVER in result.sentence


def test_nobody_becomes_an_ancestor_by_leaving(ancestor: Animal) -> None:
    with pytest.raises(DomainError, match="placed, released, dead or lost"):
        mark_left(
            animal=AnimalFactory.create(),
            status=AnimalStatus.ELSEWHERE,
            on=TODAY,
            by=None,
            at=NOW,
        )


def test_an_ancestor_can_be_mended_but_never_arrived(ancestor: Animal) -> None:
    given = {"animal": ancestor, "by": None, "at": NOW, "reason": "A letter."}

    assert correct_animal(name="Nan", **given).name == "Nan"
    with pytest.raises(DomainError, match="has no day of arrival"):
        correct_animal(arrived_on=TODAY - DAY, **given)
