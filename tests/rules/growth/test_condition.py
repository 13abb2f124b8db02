"""Mass by length. Lengths and masses are invented; the index is plain division."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from husbandry.rules.growth.condition import (
    NO_VALIDATED_SCORE,
    ConditionPoint,
    LengthPoint,
    condition_index,
    condition_points,
)
from husbandry.rules.weights import WeighingPoint

START = datetime(2026, 3, 1, 9, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
D = Decimal


def length(days: float, snout_vent_cm: str) -> LengthPoint:
    return LengthPoint(START + days * DAY, D(snout_vent_cm))


def weighing(
    key: int, days: float, mass_g: str, corrects: int | None = None
) -> WeighingPoint:
    return WeighingPoint(key, START + days * DAY, D(mass_g), corrects)


@pytest.mark.parametrize(
    ("mass_g", "snout_vent_cm", "index"),
    [
        ("120", "16", "7.500"),
        ("1.2", "3.5", "0.343"),
        ("100", "16", "6.250"),
        ("0.01", "16", "0.001"),  # 0.000625
        ("0.0125", "1", "0.012"),  # half to even
    ],
)
def test_the_index(mass_g: str, snout_vent_cm: str, index: str) -> None:
    found = condition_index(mass_g=D(mass_g), snout_vent_cm=D(snout_vent_cm))

    assert str(found) == index


@pytest.mark.parametrize(
    ("mass_g", "snout_vent_cm", "named"),
    [("0", "16", "mass_g is 0"), ("NaN", "16", "mass_g"), ("20", "-1", "snout_vent")],
)
def test_what_is_no_number_above_zero_is_refused(
    mass_g: str, snout_vent_cm: str, named: str
) -> None:
    with pytest.raises(ValueError, match=named):
        condition_index(mass_g=D(mass_g), snout_vent_cm=D(snout_vent_cm))


def test_a_length_goes_with_the_weighing_nearest_to_it() -> None:
    found = condition_points(
        [length(30, "16"), length(10, "15")],
        [
            weighing(1, 5, "100"),
            weighing(2, 12, "105"),
            weighing(3, 36.9, "120"),
        ],
    )

    assert found == (
        ConditionPoint(START + 10 * DAY, D(15), START + 12 * DAY, D(105), D("7.000")),
        ConditionPoint(START + 30 * DAY, D(16), START + 36.9 * DAY, D(120), D("7.500")),
    )


@pytest.mark.parametrize(("away_days", "found"), [(7, 1), (-7, 1), (7.01, 0), (-8, 0)])
def test_seven_days_are_the_most(away_days: float, found: int) -> None:
    assert (
        len(condition_points([length(20, "15")], [weighing(1, 20 + away_days, "90")]))
        == found
    )


def test_of_two_equally_near_the_earlier_counts() -> None:
    weighings = [weighing(2, 12, "105"), weighing(1, 8, "100")]

    (found,) = condition_points([length(10, "10")], weighings)

    assert found.mass_g == 100


def test_a_corrected_weighing_does_not_count() -> None:
    weighings = [weighing(1, 10, "900"), weighing(2, 11, "90", corrects=1)]

    (found,) = condition_points([length(10, "15")], weighings)

    assert found.g_per_cm == 6


def test_without_lengths_or_weighings_there_is_no_index() -> None:
    assert condition_points([], [weighing(1, 1, "90")]) == ()
    assert condition_points([length(1, "15")], []) == ()


def test_it_says_that_no_score_is_validated() -> None:
    # A conference abstract of 2024 found no validated score for bearded dragons.
    assert "no condition score has been validated" in NO_VALIDATED_SCORE
