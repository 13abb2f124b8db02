"""Units against published definitions and a reference library.

Sources: docs/sources.md, nist-sp811 (appendix B.8: pound, ounce, inch and the
Fahrenheit scale, exact).
"""

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.units import (
    LengthUnit,
    MassUnit,
    TemperatureUnit,
    celsius,
    centimetres,
    from_celsius,
    from_centimetres,
    from_grams,
    from_kelvin_difference,
    grams,
    kelvin_difference,
)

UNITS = pint.UnitRegistry()
PINT_TEMPERATURES = {TemperatureUnit.C: UNITS.degC, TemperatureUnit.F: UNITS.degF}
PINT_MASSES = {
    MassUnit.G: UNITS.gram,
    MassUnit.KG: UNITS.kilogram,
    MassUnit.OZ: UNITS.ounce,
    MassUnit.LB: UNITS.pound,
}
PINT_LENGTHS = {LengthUnit.CM: UNITS.centimeter, LengthUnit.IN: UNITS.inch}
NUMBERS = st.decimals(-1000, 100_000, places=3)
TOLERANCE = Decimal("1e-20")


@pytest.mark.parametrize(  # nist-sp811, to two decimals
    ("fahrenheit", "expected_c"),
    [
        ("32", "0.00"),
        ("40", "4.44"),
        ("65", "18.33"),
        ("70", "21.11"),
        ("75", "23.89"),
        ("80", "26.67"),
        ("85", "29.44"),
        ("90", "32.22"),
        ("95", "35.00"),
        ("105", "40.56"),
        ("212", "100.00"),
        ("-40", "-40.00"),
    ],
)
def test_fahrenheit_on_the_celsius_scale(fahrenheit: str, expected_c: str) -> None:
    found = celsius(Decimal(fahrenheit), TemperatureUnit.F)

    assert found.quantize(Decimal("0.01")) == Decimal(expected_c)


def test_drop_of_10_f_is_a_difference_not_a_temperature() -> None:
    found = kelvin_difference(Decimal(10), TemperatureUnit.F)

    assert found.quantize(Decimal("0.01")) == Decimal("5.56")


def test_17_inches_are_43_18_cm_exactly() -> None:
    assert centimetres(Decimal(17), LengthUnit.IN) == Decimal("43.18")


@pytest.mark.parametrize(  # nist-sp811, exact
    ("value", "unit", "expected_g"),
    [
        ("1", MassUnit.LB, "453.59237"),
        ("1", MassUnit.OZ, "28.349523125"),
        ("0.12", MassUnit.KG, "120"),
        ("120", MassUnit.G, "120"),
        ("0", MassUnit.OZ, "0"),
    ],
)
def test_mass_in_grams_is_exact(value: str, unit: MassUnit, expected_g: str) -> None:
    assert grams(Decimal(value), unit) == Decimal(expected_g)


@given(NUMBERS, st.sampled_from(TemperatureUnit))
def test_temperature_is_the_reference_librarys(
    value: Decimal, unit: TemperatureUnit
) -> None:
    expected = UNITS.Quantity(float(value), PINT_TEMPERATURES[unit]).to("degC")

    assert float(celsius(value, unit)) == pytest.approx(expected.magnitude, abs=1e-8)


@given(NUMBERS, st.sampled_from(MassUnit))
def test_mass_is_the_reference_librarys(value: Decimal, unit: MassUnit) -> None:
    expected = UNITS.Quantity(float(value), PINT_MASSES[unit]).to("gram")

    assert float(grams(value, unit)) == pytest.approx(expected.magnitude, rel=1e-12)


@given(NUMBERS, st.sampled_from(LengthUnit))
def test_length_is_the_reference_librarys(value: Decimal, unit: LengthUnit) -> None:
    expected = UNITS.Quantity(float(value), PINT_LENGTHS[unit]).to("centimeter")

    found = float(centimetres(value, unit))
    assert found == pytest.approx(expected.magnitude, rel=1e-12)


@given(NUMBERS, st.sampled_from(TemperatureUnit))
def test_temperatures_come_back(value: Decimal, unit: TemperatureUnit) -> None:
    there = celsius(value, unit)
    apart = kelvin_difference(value, unit)

    assert abs(from_celsius(there, unit) - value) < TOLERANCE
    assert abs(from_kelvin_difference(apart, unit) - value) < TOLERANCE


@given(NUMBERS, st.sampled_from(MassUnit))
def test_masses_come_back(value: Decimal, unit: MassUnit) -> None:
    assert abs(from_grams(grams(value, unit), unit) - value) < TOLERANCE


@given(NUMBERS, st.sampled_from(LengthUnit))
def test_lengths_come_back(value: Decimal, unit: LengthUnit) -> None:
    assert from_centimetres(centimetres(value, unit), unit) == value


@given(NUMBERS, NUMBERS)
def test_difference_of_two_temperatures_is_that_difference(
    one: Decimal, two: Decimal
) -> None:
    unit = TemperatureUnit.F

    apart = celsius(one, unit) - celsius(two, unit)

    assert abs(apart - kelvin_difference(one - two, unit)) < TOLERANCE
