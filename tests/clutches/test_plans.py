"""Incubation plans: made whole, never altered, retired; and by which a clutch is kept."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions.plans import make_plan, retire_plan
from clutches.models import IncubationPhase, IncubationPlan
from clutches.queries.plans import phase_plans, phases_of
from clutches.rules.incubation.phases import plan_of_profile
from clutches.rules.incubation.plans import IncubationPlanError
from clutches.rules.vocabulary import PhaseKind
from core.models import AuditEntry
from husbandry.rules.profiles.writing import write_profile
from tests.factories import (
    NOW,
    TODAY,
    CareProfileFactory,
    ClutchFactory,
    IncubationPhaseFactory,
    IncubationPlanFactory,
    SpeciesFactory,
    UserFactory,
)
from tests.rules.clutches.incubation.made import VEILED, phase

pytestmark = pytest.mark.django_db
CYCLE = (
    phase(days=45),
    phase("17.0", "20.0", days=60, kind=PhaseKind.COOL),
    phase("26.0", "28.0", night=("24.0", "26.0")),
)
GIVEN: dict[str, Any] = {
    "code": "cool-rest",
    "name": "With a cool rest",
    "phases": CYCLE,
    "note": "Invented for this test.",
    "by": None,
    "at": NOW,
}


def make(**given: Any) -> IncubationPlan:
    return make_plan(**{"species": SpeciesFactory.create(), **GIVEN, **given})


def test_a_plan_is_made_with_its_phases_in_order() -> None:
    person = UserFactory.create()

    plan = make(code=" cool-rest ", name=" With a cool rest ", by=person)

    plan.refresh_from_db()
    assert (plan.code, plan.name, plan.retired_on) == (
        *("cool-rest", "With a cool rest", None),
    )
    rows = list(plan.phases.all())
    assert [row.position for row in rows] == [1, 2, 3]
    assert phases_of(reversed(rows)) == CYCLE
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("make_incubation_plan", person)
    assert entry.after["phases"][1] == (
        "cool, 60 days, 17.0–20.0 °C by day, 17.0–20.0 °C by night"
    )
    assert entry.after["phases"][2].startswith("warm, until they hatch, 26.0–28.0 °C")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"code": ""}, "'' cannot be a plan's code"),
        ({"code": "a plan"}, "letters, digits, dots"),
        ({"code": "a:b"}, "letters, digits, dots"),
        ({"code": "x" * 41}, "at most 40"),
        ({"name": " "}, "a name of 1 to 80 characters; 0 were given"),
        ({"name": "x" * 81}, "81 were given"),
        ({"phases": ()}, "1 to 12 phases; 0 were given"),
        ({"code": "taken"}, "There is a plan 'taken' already"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_half_made(
    given: dict[str, Any], said: str
) -> None:
    IncubationPlanFactory.create(code="taken")

    with pytest.raises(IncubationPlanError) as refused:
        make(**given)

    assert said in str(refused.value)
    assert IncubationPlan.objects.count() == 1
    assert IncubationPhase.objects.count() == 0
    assert AuditEntry.objects.count() == 0


def test_the_profiles_hard_limits_hold_for_every_plan() -> None:
    """andrews-2008: 30 °C is the warmest regime studied."""
    species = SpeciesFactory.create()
    CareProfileFactory.create(species=species, source_text=write_profile(VEILED))

    with pytest.raises(IncubationPlanError, match="lies above 30"):
        make(species=species, phases=[phase("28.0", "31.0")])

    assert make(species=species, phases=[phase("28.0", "30.0")]).pk


def test_a_plan_is_retired_once_and_never_ahead() -> None:
    plan, person = make(), UserFactory.create()

    with pytest.raises(IncubationPlanError, match="is to come"):
        retire_plan(plan=plan, on=TODAY + timedelta(days=2), by=person, at=NOW)
    retired = retire_plan(plan=plan, on=TODAY, by=person, at=NOW)
    with pytest.raises(IncubationPlanError, match="already"):
        retire_plan(plan=plan, on=TODAY, by=person, at=NOW)

    assert retired.retired_on == TODAY
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.before, entry.after) == (
        "retire_incubation_plan",
        {"retired_on": None},
        {"retired_on": TODAY.isoformat()},
    )


def test_a_clutch_is_kept_by_its_plan_else_by_its_profile() -> None:
    own = ClutchFactory.create(plan=make())
    profiles = ClutchFactory.create()
    stranger = ClutchFactory.create(species=SpeciesFactory.create(code="stranger"))
    keys = [own.pk, profiles.pk, stranger.pk, 10**6]
    versions = {c.species_id: (3, VEILED) for c in (own, profiles)}

    found = phase_plans(clutch_ids=keys, profiles=versions)

    wanted = plan_of_profile(VEILED)
    assert found == {own.pk: found[own.pk], profiles.pk: wanted, stranger.pk: None}
    mine = found[own.pk]
    assert mine is not None
    assert (mine.code, mine.phases, mine.provenance) == ("cool-rest", CYCLE, None)
    assert (mine.hard_low_c, mine.hard_high_c) == (None, Decimal("30.0"))
    assert wanted is not None
    assert mine.limit_provenance == wanted.limit_provenance


def test_a_plan_of_a_species_without_a_profile_has_no_hard_limits() -> None:
    clutch = ClutchFactory.create(plan=make())

    found = phase_plans(clutch_ids=[clutch.pk], profiles={})[clutch.pk]

    assert found is not None
    assert (found.hard_low_c, found.hard_high_c, found.limit_provenance) == (
        *(None, None, None),
    )


def test_a_profile_that_says_nothing_of_eggs_sets_a_plan_no_limits() -> None:
    clutch = ClutchFactory.create(plan=make())
    bare = replace(VEILED, targets=())

    found = phase_plans(
        clutch_ids=[clutch.pk], profiles={clutch.species_id: (1, bare)}
    )[clutch.pk]

    assert found is not None
    assert (found.hard_high_c, found.limit_provenance) == (None, None)


@pytest.mark.parametrize("clutches", [1, 3])
def test_as_many_queries_for_one_clutch_as_for_many(clutches: int) -> None:
    plans = [IncubationPlanFactory.create() for _ in range(clutches)]
    for plan in plans:
        IncubationPhaseFactory.create(plan=plan)
    keys = [ClutchFactory.create(plan=plan).pk for plan in plans]

    with CaptureQueriesContext(connection) as queries:
        phase_plans(clutch_ids=keys, profiles={})

    assert len(queries) == 2
