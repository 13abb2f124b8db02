"""What the night says of placements, by days counted on a calendar."""

from datetime import date
from typing import Any

import pytest

from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.gates.facts import GateResult
from placements.rules.standings import Standing, assess_placements
from placements.rules.vocabulary import Gate, GateState, PlacementKind, PlacementState

ON = date(2026, 3, 20)
SHUT = GateResult(
    Gate.HOLD_OVER, GateState.SHUT, "It is held.", "asked of every animal"
)
OPEN = GateResult(
    Gate.PACKET_MADE, GateState.OPEN, "It is made.", "asked of every animal"
)


def standing(**changes: Any) -> Standing:
    said: dict[str, Any] = {
        "placement": 5,
        "animal": 7,
        "code": "V-0007",
        "in_care": True,
        "kind": PlacementKind.SALE,
        "state": PlacementState.PLANNED,
        "day": ON,
        "gates": (SHUT, OPEN),
    }
    return Standing(**(said | changes))


def away(**changes: Any) -> Standing:
    said = {
        "kind": PlacementKind.FOSTER,
        "state": PlacementState.HANDED_OVER,
        "in_care": False,
        "gates": (),
    }
    return standing(**(said | changes))


@pytest.mark.parametrize(
    ("day", "told"),
    [
        (date(2026, 3, 1), True),
        (date(2026, 3, 20), True),
        (date(2026, 3, 22), True),
        (date(2026, 3, 23), False),
    ],
)
def test_a_plan_is_stuck_from_two_days_before(day: date, told: bool) -> None:
    found = list(assess_placements([standing(day=day)], ON))

    assert bool(found) is told


def test_a_stuck_plan_names_its_shut_gates() -> None:
    (found,) = assess_placements([standing()], ON)

    assert (found.kind, found.urgency) == (
        FindingKind.PLACEMENT_STUCK,
        Urgency.WATCH,
    )
    assert (found.animal, found.detail) == (7, ("placement", "5"))
    assert found.facts == {
        "kind": "sale",
        "planned_on": "2026-03-20",
        "shut": [["hold_over", "It is held."]],
        "placement": 5,
        "animal_code": "V-0007",
    }


@pytest.mark.parametrize("gates", [(), (OPEN,)])
def test_a_plan_without_a_shut_gate_is_not_stuck(gates: Any) -> None:
    assert list(assess_placements([standing(gates=gates)], ON)) == []


@pytest.mark.parametrize(
    ("day", "late"), [(date(2026, 3, 10), 10), (date(2026, 3, 19), 1), (ON, None)]
)
def test_a_stay_is_late_from_the_day_after(day: date, late: int | None) -> None:
    found = list(assess_placements([away(day=day)], ON))

    assert [one.facts["days_late"] for one in found] == ([late] if late else [])


def test_a_late_stay_is_for_today_and_of_no_animal_in_care() -> None:
    (found,) = assess_placements([away(day=date(2026, 3, 19))], ON)

    assert (found.kind, found.urgency, found.animal) == (
        FindingKind.DUE_BACK,
        Urgency.TODAY,
        None,
    )
    assert found.facts == {
        "kind": "foster",
        "due_back_on": "2026-03-19",
        "days_late": 1,
        "placement": 5,
        "animal_code": "V-0007",
    }


def test_what_left_for_good_is_not_late() -> None:
    gone = away(kind=PlacementKind.SALE, day=date(2026, 3, 1))

    assert list(assess_placements([gone], ON)) == []
