"""What worries by itself stays until somebody sees that it is no longer so."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from husbandry.rules.health.worries import WORRIES, assess_worries
from husbandry.rules.vocabulary import (
    FindingKind,
    ObservationKind,
    Observed,
    Sex,
    Urates,
    Urgency,
)
from husbandry.rules.weights import GravidSpell
from tests.rules.health.facts import TODAY, animal, seen

ALERT, DROPPINGS, SHED = (
    ObservationKind.ALERTNESS,
    ObservationKind.DROPPINGS,
    ObservationKind.SHED,
)


def told(*observations: Any, **changes: Any) -> list[tuple[str, str, int]]:
    one = replace(animal(observations=observations), **changes)
    found = [*assess_worries(one, on=TODAY)]
    assert {a.kind for a in found} <= {FindingKind.SIGN_SEEN}
    return [(a.facts["sign"], a.facts["since_on"], a.facts["times"]) for a in found]


@pytest.mark.parametrize(
    ("observations", "expected"),
    [
        ((), []),
        ((seen(1, ALERT, Observed.BRIGHT),), []),
        ((seen(1, ALERT, Observed.WEAK),), [("weak", "2026-03-01", 1)]),
        (
            (seen(0, ALERT, Observed.WEAK), seen(1, ALERT, Observed.WEAK)),
            [("weak", "2026-02-28", 2)],
        ),
        ((seen(0, ALERT, Observed.WEAK), seen(1, ALERT, Observed.BRIGHT)), []),
        # Tomorrow is not known yet.
        (
            (seen(0, ALERT, Observed.WEAK), seen(3, ALERT, Observed.BRIGHT)),
            [("weak", "2026-02-28", 1)],
        ),
        (
            (seen(1, DROPPINGS, Observed.BLOODY, urates=Urates.WHITE),),
            [("bloody_droppings", "2026-03-01", 1)],
        ),
        (
            (seen(1, DROPPINGS, Observed.FORMED, urates=Urates.ORANGE),),
            [("orange_urates", "2026-03-01", 1)],
        ),
        # Droppings of which only the urates were noted say nothing of blood.
        (
            (
                seen(0, DROPPINGS, Observed.BLOODY),
                seen(1, DROPPINGS, None, urates=Urates.WHITE),
            ),
            [("bloody_droppings", "2026-02-28", 1)],
        ),
        ((seen(1, SHED, Observed.STUCK),), [("stuck_shed", "2026-03-01", 1)]),
        ((seen(0, SHED, Observed.STUCK), seen(1, SHED, Observed.WHOLE)), []),
        # Weakness is nothing that droppings could take back.
        (
            (seen(0, ALERT, Observed.WEAK), seen(1, DROPPINGS, Observed.FORMED)),
            [("weak", "2026-02-28", 1)],
        ),
    ],
)
def test_worry_stays_until_it_is_no_longer_so(
    observations: tuple[Any, ...], expected: list[Any]
) -> None:
    assert told(*observations) == expected


def test_a_weak_female_with_eggs_is_told_as_trouble_with_laying() -> None:
    gravid = (GravidSpell(date(2026, 2, 20), None),)
    laid = (GravidSpell(date(2026, 2, 1), TODAY),)
    weak = seen(1, ALERT, Observed.WEAK)

    assert told(weak, sex=Sex.FEMALE, gravid=gravid) == []
    assert told(weak, sex=Sex.FEMALE, gravid=laid) == [("weak", "2026-03-01", 1)]
    assert told(weak, sex=Sex.MALE, gravid=gravid) == [("weak", "2026-03-01", 1)]


def test_each_ends_before_a_licensed_vet_and_none_waits_for_the_week() -> None:
    assert all("licensed reptile vet" in worry.do for worry in WORRIES)
    assert {worry.urgency for worry in WORRIES} == {Urgency.TODAY, Urgency.WATCH}
    assert len({worry.code for worry in WORRIES}) == len(WORRIES)
