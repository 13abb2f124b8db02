"""Two people at two screens: an animal is planned once and leaves once."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from placements.actions.endings import mark_came_back, mark_died_there
from placements.actions.gates import open_gate
from placements.actions.handing_over import hand_over
from placements.actions.packets import make_packet
from placements.actions.placements import (
    AlreadyPlannedError,
    call_off,
    plan_placement,
)
from placements.actions.states import PlacementStateError
from placements.models import FollowUp, GateOpening, Placement, RegisterEntry
from placements.rules.gates.opening import GateError
from placements.rules.vocabulary import Gate, PlacementKind
from tests import factories
from tests.husbandry import test_readings_at_once as at_once

pytestmark = pytest.mark.django_db(transaction=True)
shared_database = at_once.shared_database
AT = datetime(2026, 3, 20, 15, 0, tzinfo=UTC)
ON = date(2026, 3, 20)


def seen(*rows: Any) -> list[Any]:
    """Return what the shared database says, asked on a connection of its own."""
    found: list[Any] = []
    at_once.together(lambda: found.extend(row() for row in rows))
    return found


def planned(**said: Any) -> Placement:
    placement = factories.PlacementFactory.create(kind="sale", planned_on=ON, **said)
    make_packet(placement=placement, by=None, at=AT)
    return placement


def fresh(placement: Placement) -> Placement:
    return Placement.objects.get(pk=placement.pk)


def test_two_plans_for_one_animal(shared_database: Any) -> None:
    animal = factories.AnimalFactory.create()
    homes = factories.HomeFactory.create_batch(2)
    shared_database()

    def plan(n: int) -> None:
        plan_placement(
            animal=animal,
            home=homes[n],
            kind=PlacementKind.SALE,
            planned_on=ON,
            by=None,
            at=AT,
        )

    raised = at_once.together(lambda: plan(0), lambda: plan(1))

    assert [type(error) for error in raised] == [AlreadyPlannedError]
    assert seen(Placement.objects.count) == [1]


def test_two_hand_overs_of_one_animal(shared_database: Any) -> None:
    placement = planned()
    shared_database()

    def leave() -> None:
        hand_over(placement=fresh(placement), on=ON, by=None, at=AT)

    raised = at_once.together(leave, leave, leave)

    assert [type(error) for error in raised] == [PlacementStateError] * 2
    assert seen(
        lambda: fresh(placement).state,
        FollowUp.objects.count,
        RegisterEntry.objects.filter(direction="left").count,
    ) == ["handed_over", 3, 1]


def test_a_hand_over_while_it_is_called_off(shared_database: Any) -> None:
    placement = planned()
    shared_database()

    raised = at_once.together(
        lambda: hand_over(placement=fresh(placement), on=ON, by=None, at=AT),
        lambda: call_off(placement=fresh(placement), reason="", by=None, at=AT),
    )

    assert [type(error) for error in raised] == [PlacementStateError]
    state, status = seen(
        lambda: fresh(placement).state, lambda: fresh(placement).animal.status
    )
    assert (state, status) in {("handed_over", "placed"), ("called_off", "in_care")}


def test_a_gate_is_opened_by_one_of_two(shared_database: Any) -> None:
    placement = planned()
    factories.QuarantineFactory.create(animal=placement.animal)
    shared_database()

    def work() -> None:
        open_gate(
            placement=fresh(placement),
            gate=Gate.QUARANTINE_OVER,
            reason="to the vet's ward",
            by=None,
            at=AT,
        )

    raised = at_once.together(work, work)

    assert [type(error) for error in raised] == [GateError]
    assert seen(GateOpening.objects.count) == [1]


def test_a_placement_ends_once(shared_database: Any) -> None:
    placement = factories.PlacementFactory.create(handed_over=True)
    shared_database()

    raised = at_once.together(
        lambda: mark_came_back(placement=fresh(placement), on=ON, by=None, at=AT),
        lambda: mark_died_there(placement=fresh(placement), on=ON, by=None, at=AT),
    )

    assert [type(error) for error in raised] == [PlacementStateError]
