"""Which policy holds, and which cannot be."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from placements.rules.gates.policies import (
    PlacementPolicyError,
    Policy,
    PolicyRow,
    check_policy,
    policy_for,
    shipped_policy,
)
from placements.rules.vocabulary import PaperKind, PlacementKind

SALE, LOAN = PlacementKind.SALE, PlacementKind.LOAN
VEILED, OTHER = 1, 2


def aged(days: int) -> Policy:
    return Policy(least_age_days=days)


@pytest.mark.parametrize(
    ("rows", "age"),
    [
        ([], None),
        ([(None, None, 10)], 10),
        ([(None, None, 10), (None, SALE, 20)], 20),
        ([(None, SALE, 20), (VEILED, None, 30)], 30),
        ([(VEILED, None, 30), (VEILED, SALE, 40)], 40),
        ([(VEILED, SALE, 41), (VEILED, SALE, 40)], 41),
        ([(OTHER, SALE, 50), (VEILED, LOAN, 60), (None, LOAN, 70)], None),
    ],
)
def test_the_narrowest_and_newest_holds(
    rows: list[tuple[int | None, PlacementKind | None, int]], age: int | None
) -> None:
    on_record = [PolicyRow(species, kind, aged(days)) for species, kind, days in rows]

    found = policy_for(on_record, species_id=VEILED, kind=SALE)

    assert found.least_age_days == age


def test_without_rows_the_shipped_policy_holds() -> None:
    asking = [k for k in PlacementKind if shipped_policy(k) != Policy()]

    assert asking == [PlacementKind.ADOPTION]
    adoption = policy_for([], species_id=VEILED, kind=PlacementKind.ADOPTION)
    assert (adoption.application, adoption.home_ready) == (True, True)
    assert adoption.made_on is None


GOOD = Policy(least_age_days=1, least_mass_g=Decimal("0.01"))


@pytest.mark.parametrize(
    ("changes", "reason", "field"),
    [
        ({}, "  ", "reason"),
        ({"least_age_days": 0}, "why", "least_age_days"),
        ({"least_age_days": 3651}, "why", "least_age_days"),
        ({"least_mass_g": Decimal(0)}, "why", "least_mass_g"),
        ({"least_mass_g": Decimal("0.001")}, "why", "least_mass_g"),
        ({"least_mass_g": Decimal("30.005")}, "why", "least_mass_g"),
        ({"least_mass_g": Decimal("100000.01")}, "why", "least_mass_g"),
        ({"papers": (PaperKind.OTHER, PaperKind.OTHER)}, "why", "papers"),
    ],
)
def test_a_policy_that_cannot_be_is_refused(
    changes: dict[str, Any], reason: str, field: str
) -> None:
    with pytest.raises(PlacementPolicyError) as raised:
        check_policy(replace(GOOD, **changes), reason=reason)

    assert list(raised.value.fields) == [field]


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"least_age_days": 3650, "least_mass_g": Decimal(100_000)},
        {"least_age_days": None, "least_mass_g": None},
    ],
)
def test_a_policy_at_its_limits_is_taken(changes: dict[str, Any]) -> None:
    check_policy(replace(GOOD, **changes), reason="as agreed")
