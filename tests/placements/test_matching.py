"""Who waits, and whose application an animal may suit."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Species
from placements.models import Application
from placements.queries.matching import matches, waiting_list
from placements.rules.applications.matching import Matter, Reason, Side
from placements.rules.vocabulary import ApplicationState
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ApplicationFactory,
    HomeFactory,
    PrescriptionFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def animal(db: None) -> Animal:
    load_shipped_profiles(by=None, at=NOW)
    species = Species.objects.get(code="veiled_chameleon")
    return AnimalFactory.create(species=species, sex="female")


def waiting(since: date, **changed: Any) -> Application:
    return ApplicationFactory.create(state="waiting", waiting_since=since, **changed)


def test_the_waiting_list_is_in_order_of_the_day(
    django_assert_num_queries: Callable[[int], Any],
) -> None:
    late = waiting(date(2026, 3, 2))
    early = waiting(date(2026, 1, 5))
    later_the_same_day = waiting(
        date(2026, 1, 5), received_at=NOW + timedelta(minutes=1)
    )
    ApplicationFactory.create(state="accepted")

    with django_assert_num_queries(1):
        found = [(row, row.home.name, str(row.species)) for row in waiting_list()]

    assert [row for row, *_ in found] == [early, later_the_same_day, late]


def test_matches_stand_in_the_order_of_the_waiting_list(
    animal: Animal, django_assert_num_queries: Callable[[int], Any]
) -> None:
    other = AnimalFactory.create(species=animal.species)
    accepted = ApplicationFactory.create(state="accepted", species=animal.species)
    second = waiting(date(2026, 2, 2), species=None, animal=animal)
    first = waiting(
        date(2026, 1, 5),
        species=animal.species,
        animal=other,
        home=HomeFactory.create(name="The Greys"),
        answers={
            "kept_before": "none",
            "uvb": "linear_t5",
            "sex_wanted": "male",
            "needs_more": "no",
        },
    )
    for state in set(ApplicationState) - {
        ApplicationState.ACCEPTED,
        ApplicationState.WAITING,
    }:
        ApplicationFactory.create(state=state.value, species=animal.species)
    waiting(date(2026, 1, 1), species=SpeciesFactory.create(code="other"))
    PrescriptionFactory.create(animal=animal, until_on=TODAY)

    with django_assert_num_queries(3):
        found = matches(animal=animal, on=TODAY)

    assert [one.applied.id for one in found] == [first.pk, second.pk, accepted.pk]
    assert found[0].applied.home_name == "The Greys"
    assert found[0].applied.since == date(2026, 1, 5)
    assert found[2].applied.since == date(2026, 3, 2)
    assert found[0].reasons == (
        Reason(Matter.ASKED_FOR, Side.AGAINST, ""),
        Reason(Matter.EXPERIENCE, Side.AGAINST, "none"),
        Reason(Matter.ENCLOSURE, Side.NOT_KNOWN, ""),
        Reason(Matter.UVB, Side.FOR, "linear_t5"),
        Reason(Matter.MEASURING, Side.NOT_KNOWN, ""),
        Reason(Matter.SEX, Side.AGAINST, "male"),
        Reason(Matter.TREATMENT, Side.AGAINST, "no"),
    )


def test_a_treatment_that_is_over_asks_for_nothing(animal: Animal) -> None:
    ApplicationFactory.create(state="accepted", species=animal.species)
    yesterday = TODAY - timedelta(days=1)
    PrescriptionFactory.create(animal=animal, until_on=yesterday)
    PrescriptionFactory.create(
        animal=animal, until_on=TODAY, stopped_at=NOW, stopped_reason="Well."
    )

    (found,) = matches(animal=animal, on=TODAY)

    assert Matter.TREATMENT not in {reason.matter for reason in found.reasons}


def test_a_species_without_a_profile_asks_for_no_lamp() -> None:
    animal = AnimalFactory.create()
    ApplicationFactory.create(state="accepted", species=animal.species)

    (found,) = matches(animal=animal, on=TODAY)

    assert Matter.UVB not in {reason.matter for reason in found.reasons}
