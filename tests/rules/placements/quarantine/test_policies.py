"""Which policy holds, and which cannot."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from placements.rules.quarantine.policies import (
    SHIPPED,
    QuarantinePolicyError,
    check_policy,
    is_kept_apart_on_arrival,
    rule_for,
)
from placements.rules.vocabulary import IntakeSource

OWN = replace(SHIPPED, days=60, reason="as agreed with the vet", source="")
FOR_ALL = replace(OWN, days=45)


def test_the_nearest_policy_holds() -> None:
    assert rule_for(1, {1: OWN, None: FOR_ALL}) == OWN
    assert rule_for(2, {1: OWN, None: FOR_ALL}) == FOR_ALL
    assert rule_for(2, {1: OWN}) == SHIPPED
    assert (SHIPPED.is_shipped, OWN.is_shipped) == (True, False)


def test_the_shipped_policy_is_the_published_guidance() -> None:
    assert (SHIPPED.days, SHIPPED.group, SHIPPED.tests) == (30, "reptiles", 0)
    check_policy(SHIPPED)


@pytest.mark.parametrize("source", list(IntakeSource))
def test_all_newcomers_are_kept_apart_but_those_born_here(source: IntakeSource) -> None:
    born_here = source is IntakeSource.BORN_HERE

    assert is_kept_apart_on_arrival(SHIPPED, source) is not born_here
    assert not is_kept_apart_on_arrival(replace(SHIPPED, needed=False), source)


@pytest.mark.parametrize(
    "changes",
    [
        {"days": 1},
        {"days": 730},
        {"needed": False, "days": 0},
        {"tests": 10, "tests_apart_days": 0},
        {"most_loss_pct": Decimal("99.9")},
        {"most_loss_pct": Decimal(0)},
        {"group": "g" * 40},
    ],
)
def test_a_policy_that_can_be_is_accepted(changes: dict[str, Any]) -> None:
    check_policy(replace(OWN, **changes))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"days": 0}, "days cannot be 0: 1 to 730 would be"),
        ({"days": 731}, "days cannot be 731"),
        ({"tests": 11}, "tests cannot be 11: 0 to 10 would be"),
        ({"tests": -1}, "tests cannot be -1"),
        ({"tests_apart_days": -1}, "tests_apart_days cannot be -1"),
        ({"weight_days": 731}, "weight_days cannot be 731"),
        ({"most_loss_pct": Decimal(100)}, "most_loss_pct cannot be 100"),
        ({"most_loss_pct": Decimal("-0.1")}, "most_loss_pct cannot be -0.1"),
        ({"most_loss_pct": Decimal("NaN")}, "most_loss_pct cannot be NaN"),
        ({"group": " "}, "needs a group"),
        ({"group": "g" * 41}, "has at most 40 characters"),
        ({"reason": ""}, "needs a reason"),
    ],
)
def test_a_policy_that_cannot_be_is_refused(
    changes: dict[str, Any], words: str
) -> None:
    with pytest.raises(QuarantinePolicyError, match=words) as refused:
        check_policy(replace(OWN, **changes))

    assert list(refused.value.fields) == [next(iter(changes))]
