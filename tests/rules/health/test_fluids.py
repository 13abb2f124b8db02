"""Fluid arithmetic against published worked examples."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.health.fluids import (
    DailyFluid,
    deficit_ml,
    maintenance_a_day,
    rate_ml_per_hour,
)

D = Decimal


def test_reptile_maintenance_for_a_day() -> None:
    # lafeber-fluids: 10–30 mL/kg/day; 150 g: 1.5–4.5 mL.
    assert maintenance_a_day(mass_g=D(150)) == DailyFluid(D("1.5"), D("4.5"))


def test_deficit_of_a_published_example() -> None:
    # wsava-2018, p. 434: 10 kg, 5 %: 500 mL.
    assert deficit_ml(mass_g=D(10_000), dehydration_pct=D(5)) == 500


@pytest.mark.parametrize(
    ("dehydration_pct", "expected_ml"),
    # aaha-fluids, grades of mammals: mild about 5 %, moderate about 8 %, severe
    # above 10 %. Volumes for 1 kg by hand.
    [("0", 0), ("5", 50), ("8", 80), ("10", 100), ("15", 150)],
)
def test_deficit_of_clinical_grades(dehydration_pct: str, expected_ml: int) -> None:
    found = deficit_ml(mass_g=D(1000), dehydration_pct=D(dehydration_pct))

    assert found == expected_ml


def test_day_of_a_published_example() -> None:
    # vnj-2026, p. 55 (a dog): 12 kg at 50 mL/kg/day are 600 mL; 6 % are 720 mL;
    # 25 mL an hour for the first, 55 mL an hour for both.
    need = maintenance_a_day(
        mass_g=D(12_000), low_ml_per_kg=D(50), high_ml_per_kg=D(50)
    )
    deficit = deficit_ml(mass_g=D(12_000), dehydration_pct=D(6))

    assert (need.low_ml, need.high_ml, deficit) == (600, 600, 720)
    assert rate_ml_per_hour(volume_ml=need.low_ml) == 25
    assert rate_ml_per_hour(volume_ml=need.low_ml + deficit) == 55


@pytest.mark.parametrize("mass_g", [D(0), D(-1)])
def test_fluids_without_a_mass_are_refused(mass_g: Decimal) -> None:
    with pytest.raises(ValueError, match="more than 0 g"):
        maintenance_a_day(mass_g=mass_g)
    with pytest.raises(ValueError, match="more than 0 g"):
        deficit_ml(mass_g=mass_g, dehydration_pct=D(5))


@pytest.mark.parametrize("pct", [D(-1), D("15.1"), D(80)])
def test_degree_that_no_living_animal_has_is_refused(pct: Decimal) -> None:
    with pytest.raises(ValueError, match="0 to 15 would be"):
        deficit_ml(mass_g=D(100), dehydration_pct=pct)


def test_range_and_time_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="is no range"):
        maintenance_a_day(mass_g=D(100), low_ml_per_kg=D(30), high_ml_per_kg=D(10))
    with pytest.raises(ValueError, match="cannot be spread"):
        rate_ml_per_hour(volume_ml=D(1), hours=D(0))
    with pytest.raises(ValueError, match="cannot be spread"):
        rate_ml_per_hour(volume_ml=D(-1))


@given(mass_g=st.decimals("0.01", "9999", places=2), factor=st.integers(1, 100))
def test_fluids_grow_with_the_mass(mass_g: Decimal, factor: int) -> None:
    one, many = (maintenance_a_day(mass_g=m) for m in (mass_g, mass_g * factor))

    assert many == DailyFluid(one.low_ml * factor, one.high_ml * factor)
    assert deficit_ml(mass_g=mass_g * factor, dehydration_pct=D(5)) == factor * (
        deficit_ml(mass_g=mass_g, dehydration_pct=D(5))
    )
