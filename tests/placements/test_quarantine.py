"""Quarantine from arrival to clearance, with real stays, weighings, tests and nights."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from pytest_django import DjangoAssertNumQueries

from core.models import AuditEntry, Room
from husbandry.actions.stays import record_move
from husbandry.models import Animal, Quarantine
from husbandry.rules.quarantine import QuarantineError
from husbandry.rules.vocabulary import (
    AnimalStatus,
    FindingKind,
    HealthTestKind,
    HealthTestResult,
    ReviewState,
)
from placements.actions.quarantine import ClearanceError, begin_by_policy, clear
from placements.models import Clearance
from placements.queries.quarantine import quarantine_states
from placements.rules.quarantine.values import Lodging, QuarantineState
from placements.rules.vocabulary import Criterion, IntakeSource
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    EnclosureFactory,
    FindingFactory,
    HealthTestFactory,
    QuarantineFactory,
    QuarantinePolicyFactory,
    ReviewRunFactory,
    RoomFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def noon(on: date) -> datetime:
    return datetime(on.year, on.month, on.day, 12, tzinfo=UTC)


def arrivals(**more: Any) -> Room:
    made: Room = RoomFactory(name="Arrivals", quarantine=True, **more)
    return made


def kept_apart(room: Room, began_on: date, **more: Any) -> Quarantine:
    """An animal that came to a room on the day its quarantine began."""
    made: Quarantine = QuarantineFactory(
        animal__arrived_on=began_on, began_on=began_on, **more
    )
    StayFactory(animal=made.animal, enclosure__room=room, from_at=noon(began_on))
    return made


def all_well(quarantine: Quarantine, room: Room, on: date) -> None:
    """Weighed twice in the last two weeks, and last night was reviewed."""
    for days, mass_g in ((14, "100"), (0, "99")):
        WeighingFactory(
            animal=quarantine.animal, at=noon(on - days * DAY), mass_g=Decimal(mass_g)
        )
    ReviewRunFactory(site=room.site, on=on - DAY, state=ReviewState.DONE.value)


def state_of(animal: Animal, on: date) -> QuarantineState:
    (state,) = quarantine_states(animal_ids=[animal.pk], on=on)
    return state


def met(state: QuarantineState) -> dict[Criterion, bool | None]:
    return {c.criterion: c.met for c in state.criteria}


# Beginning by policy.


def test_newcomers_are_kept_apart_as_their_species_policy_says() -> None:
    frog = SpeciesFactory(code="frog", common_name="Frog", scientific_name="Rana")
    newt = SpeciesFactory(code="newt", common_name="Newt", scientific_name="Triturus")
    QuarantinePolicyFactory(species=frog, group="amphibians", made_at=NOW)
    QuarantinePolicyFactory(species=frog, group="old word", made_at=NOW - DAY)
    QuarantinePolicyFactory(species=newt, needed=False)
    animals = [
        AnimalFactory(),
        AnimalFactory(species=frog),
        AnimalFactory(species=newt),
    ]

    begun = begin_by_policy(
        animals=animals, on=TODAY, source=IntakeSource.TRANSFER_IN, by=None, at=NOW
    )

    assert [(q.animal, q.group, q.reason, q.began_on) for q in begun] == [
        (animals[0], "reptiles", "came in: transfer in", TODAY),
        (animals[1], "amphibians", "came in: transfer in", TODAY),
    ]


def test_those_born_here_are_not_kept_apart() -> None:
    born = IntakeSource.BORN_HERE

    begun = begin_by_policy(
        animals=[AnimalFactory()], on=TODAY, source=born, by=None, at=NOW
    )

    assert begun == []
    assert not Quarantine.objects.exists()


def test_the_house_s_policy_for_all_holds_where_a_species_has_none() -> None:
    QuarantinePolicyFactory(species=None, group="scaled")

    (begun,) = begin_by_policy(
        animals=[AnimalFactory()], on=TODAY, source=IntakeSource.STRAY, by=None, at=NOW
    )

    assert begun.group == "scaled"


def test_an_arrival_of_many_costs_no_more_queries(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for many in (1, 3):
        animals = [AnimalFactory() for _ in range(many)]
        # PostgreSQL is asked to check what it defers.
        with django_assert_num_queries(
            {"sqlite": 15, "postgresql": 16}[connection.vendor]
        ):
            begin_by_policy(
                animals=animals, on=TODAY, source=IntakeSource.STRAY, by=None, at=NOW
            )


# States.


def test_the_published_example_holds_with_real_stays() -> None:
    """AZA guidance and Miller (1996): a newcomer on day 20 restarts thirty days."""
    room = arrivals()
    first = kept_apart(room, date(2025, 1, 1))
    newcomer = kept_apart(room, date(2025, 1, 20))

    before = state_of(first.animal, date(2025, 1, 19))
    after = state_of(first.animal, date(2025, 1, 20))

    assert before.earliest_on == date(2025, 1, 31)
    assert (after.clock_from, after.earliest_on) == (
        date(2025, 1, 20),
        date(2025, 2, 19),
    )
    assert [(e.code, e.room) for e in after.exposures] == [
        (newcomer.animal.code, "Arrivals")
    ]
    assert state_of(newcomer.animal, TODAY).exposures == ()


def test_days_are_local_where_the_animals_are() -> None:
    """In Auckland the newcomer comes on the 21st, though it is the 20th in UTC."""
    room = arrivals(site__time_zone="Pacific/Auckland")
    first = kept_apart(room, date(2025, 1, 1))
    late = QuarantineFactory(began_on=date(2025, 1, 20))
    StayFactory(
        animal=late.animal,
        enclosure__room=room,
        from_at=datetime(2025, 1, 20, 20, tzinfo=UTC),
    )

    assert state_of(first.animal, TODAY).clock_from == date(2025, 1, 21)


def test_a_newcomer_that_has_left_care_still_counts() -> None:
    room = arrivals()
    first = kept_apart(room, date(2025, 1, 1))
    gone = QuarantineFactory(
        animal__status=AnimalStatus.DEAD.value,
        animal__left_on=date(2025, 1, 20),
        began_on=date(2025, 1, 20),
        ended_on=date(2025, 1, 20),
        ended_at=noon(date(2025, 1, 20)),
    )
    StayFactory(
        animal=gone.animal,
        enclosure__room=room,
        from_at=noon(date(2025, 1, 20)),
        until_at=noon(date(2025, 1, 20)) + timedelta(hours=6),
    )

    assert state_of(first.animal, TODAY).clock_from == date(2025, 1, 20)


def test_where_and_with_whom_is_told_as_of_the_day() -> None:
    room = arrivals()
    held = kept_apart(room, TODAY - 10 * DAY)
    kept_apart(room, TODAY - 5 * DAY)
    resident = StayFactory(
        animal__code="R-1", enclosure__room=room, from_at=noon(TODAY - 3 * DAY)
    )
    resident.until_at = noon(TODAY - DAY)
    resident.save()

    with_it = state_of(held.animal, TODAY - 2 * DAY).lodging
    without = state_of(held.animal, TODAY - DAY).lodging

    code = held.animal.stays.get().enclosure.code
    site = room.site_id
    assert with_it == Lodging(code, "Arrivals", site, keeps_apart=True, others=("R-1",))
    assert without == Lodging(code, "Arrivals", site, keeps_apart=True)


def test_one_in_no_enclosure_lives_nowhere() -> None:
    nowhere = QuarantineFactory(began_on=TODAY - 3 * DAY)
    held = kept_apart(arrivals(), TODAY - 10 * DAY)
    held.animal.stays.update(until_at=noon(TODAY - DAY))

    assert state_of(nowhere.animal, TODAY).lodging is None
    assert state_of(held.animal, TODAY).lodging is None
    assert state_of(held.animal, TODAY - 2 * DAY).lodging is not None


def test_all_that_is_on_record_is_judged() -> None:
    QuarantinePolicyFactory(days=30, tests=1, weight_days=14, most_loss_pct=Decimal(5))
    room = arrivals()
    held = kept_apart(room, TODAY - 30 * DAY)
    all_well(held, room, TODAY)
    HealthTestFactory(
        animal=held.animal,
        taken_on=TODAY - 9 * DAY,
        result=HealthTestResult.NOTHING_FOUND.value,
        result_on=TODAY - 2 * DAY,
    )
    HealthTestFactory(  # another kind than the policy asks for
        animal=held.animal, kind=HealthTestKind.BLOOD.value, taken_on=TODAY - DAY
    )

    ready = state_of(held.animal, TODAY)
    day_before = state_of(held.animal, TODAY - DAY)
    awaiting = state_of(held.animal, TODAY - 3 * DAY)

    assert ready.is_ready
    assert not day_before.is_ready
    assert met(awaiting)[Criterion.TESTS] is None


@pytest.mark.parametrize(
    ("when", "healthy"),
    [
        ({}, False),
        ({"closed_on": TODAY - DAY}, True),
        ({"opened_on": TODAY}, True),
        ({"withdrawn_on": TODAY - DAY}, True),
        ({"kind": FindingKind.BELOW_TARGET.value}, True),
    ],
)
def test_health_is_judged_by_the_night_before(
    when: dict[str, Any], healthy: bool
) -> None:
    room = arrivals()
    held = kept_apart(room, TODAY - 30 * DAY)
    all_well(held, room, TODAY)
    given = {
        "kind": FindingKind.SIGN_SEEN.value,
        "opened_on": TODAY - 3 * DAY,
        "last_seen_on": TODAY,
    }
    FindingFactory(site=room.site, animal=held.animal, **{**given, **when})

    assert met(state_of(held.animal, TODAY))[Criterion.HEALTH] is healthy


def test_states_are_of_a_site_and_of_a_day() -> None:
    here, there = arrivals(), arrivals()
    first = kept_apart(here, TODAY - 10 * DAY, animal__code="A")
    second = kept_apart(there, TODAY - 5 * DAY, animal__code="B")

    def codes(**which: Any) -> list[str]:
        return [s.code for s in quarantine_states(**which)]

    assert codes(on=TODAY) == ["A", "B"]
    assert codes(on=TODAY - 6 * DAY) == ["A"]
    assert codes(on=TODAY, site=there.site) == ["B"]
    assert codes(on=TODAY, animal_ids=[first.animal_id]) == ["A"]
    assert codes(on=TODAY - 11 * DAY) == []
    assert second.group == "reptiles"


def test_many_cost_no_more_queries_than_one(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    room = arrivals()
    for _ in range(3):
        held = kept_apart(room, TODAY - 30 * DAY)
        all_well(held, room, TODAY)
        with django_assert_num_queries(10):
            quarantine_states(on=TODAY)
        with django_assert_num_queries(11):
            quarantine_states(on=TODAY, site=room.site)
        ReviewRunFactory(site=room.site, on=TODAY - 2 * DAY)


# Clearing.


def test_an_animal_of_which_all_is_so_is_let_out_and_it_stays_on_record() -> None:
    room, vet = arrivals(), UserFactory()
    held = kept_apart(room, TODAY - 30 * DAY)
    all_well(held, room, TODAY)

    clearance = clear(quarantine=held, on=TODAY, by=vet, at=NOW)

    held.refresh_from_db()
    assert (held.ended_on, held.ended_by, held.ended_at) == (TODAY, vet, NOW)
    stored = Clearance.objects.get()
    assert (stored, stored.on, stored.despite) == (clearance, TODAY, "")
    assert [(c["criterion"], c["asked"], c["met"]) for c in stored.criteria] == [
        ("days", True, True),
        ("tests", False, True),
        ("weight", True, True),
        ("health", True, True),
    ]
    assert stored.criteria[0]["evidence"]["earliest_on"] == TODAY.isoformat()
    assert quarantine_states(on=TODAY) == ()
    entry = AuditEntry.objects.get(verb="clear_quarantine")
    assert entry.after["met"] == ["days", "tests", "weight", "health"]


def test_one_that_is_not_ready_needs_a_reason() -> None:
    held = kept_apart(arrivals(), TODAY - 10 * DAY)

    with pytest.raises(ClearanceError, match="10 days since 20 Feb 2026") as refused:
        clear(quarantine=held, on=TODAY, by=None, at=NOW, despite="  ")

    assert "earliest day is 22 Mar 2026" in str(refused.value)
    assert list(refused.value.fields) == ["despite"]
    held.refresh_from_db()
    assert held.ended_on is None

    clear(quarantine=held, on=TODAY, by=None, at=NOW, despite="put in by mistake")

    stored = Clearance.objects.get()
    assert stored.despite == "put in by mistake"
    assert [c["met"] for c in stored.criteria] == [False, True, None, None]


def test_a_quarantine_is_cleared_once_and_not_before_it_began() -> None:
    held = kept_apart(arrivals(), TODAY - 10 * DAY)
    twin = Quarantine.objects.get()

    with pytest.raises(QuarantineError, match="it began on"):
        clear(quarantine=held, on=TODAY - 11 * DAY, by=None, at=NOW, despite="why")
    clear(quarantine=held, on=TODAY, by=None, at=NOW, despite="why")
    with pytest.raises(QuarantineError, match="already"):
        clear(quarantine=twin, on=TODAY, by=None, at=NOW, despite="why")

    assert Clearance.objects.count() == 1


def test_one_that_was_cleared_can_be_moved_out_on_the_same_day() -> None:
    held = kept_apart(arrivals(), TODAY - 10 * DAY)
    clear(quarantine=held, on=TODAY, by=None, at=NOW, despite="why")

    record_move(
        animal=held.animal, to=EnclosureFactory(), moved_at=NOW, by=None, at=NOW
    )

    assert held.animal.stays.count() == 2
