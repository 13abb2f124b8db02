"""Numbers as written, in exact thousandths."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.loggers.numbers import Written, read_number, to_milli
from husbandry.rules.loggers.vocabulary import Unit


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [
        ("40", 4.44), ("65", 18.33), ("70", 21.11), ("75", 23.89), ("80", 26.67),
        ("85", 29.44), ("90", 32.22), ("95", 35.00), ("105", 40.56),
    ],
)  # fmt: skip
def test_fahrenheit_table(fahrenheit: str, celsius: float) -> None:
    """Computed from the definition of the Fahrenheit scale, to ±0.005 °C."""
    assert to_milli(Decimal(fahrenheit), Unit.F) / 1000 == pytest.approx(
        celsius, abs=0.005
    )


@pytest.mark.parametrize(
    ("fahrenheit", "milli_c"), [("32", 0), ("212", 100_000), ("-40", -40_000)]
)
def test_fixed_points_of_fahrenheit(fahrenheit: str, milli_c: int) -> None:
    """Ice, steam, and where both scales agree: by the scale's definition."""
    assert to_milli(Decimal(fahrenheit), Unit.F) == milli_c


@pytest.mark.parametrize(
    ("text", "milli"),
    [
        ("20.0005", 20_000), ("20.0015", 20_002), ("20.00050001", 20_001),
        ("-20.0005", -20_000), ("-20.0015", -20_002), ("24.3566666666667", 24_357),
    ],
)  # fmt: skip
def test_halves_are_rounded_to_even(text: str, milli: int) -> None:
    assert to_milli(Decimal(text), Unit.C) == milli


@given(
    st.decimals(min_value=-500, max_value=500, allow_nan=False, places=9),
    st.sampled_from([Unit.C, Unit.F, Unit.FRACTION]),
)
def test_thousandths_are_those_of_exact_fractions(value: Decimal, unit: Unit) -> None:
    exact = Fraction(value)
    if unit is Unit.F:
        exact = (exact - 32) / Fraction(9, 5)
    if unit is Unit.FRACTION:
        exact *= 100

    assert to_milli(value, unit) == round(exact * 1000)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("21.5", Written(Decimal("21.5"), ".", None)),
        ("21,5", Written(Decimal("21.5"), ",", None)),
        ("-.5", Written(Decimal("-0.5"), ".", None)),
        ("+7", Written(Decimal(7), "", None)),
        ("− 7", Written(Decimal(-7), "", None)),
        ("2.15E+01", Written(Decimal("21.5"), ".", None)),
        ("21.5 °C", Written(Decimal("21.5"), ".", Unit.C)),
        ("70F", Written(Decimal(70), "", Unit.F)),
        ("45 %", Written(Decimal(45), "", Unit.PERCENT)),
        ("45%RH", Written(Decimal(45), "", Unit.PERCENT)),
        ("3.1 UVI", Written(Decimal("3.1"), ".", Unit.INDEX)),
    ],
)
def test_number_is_read_as_written(text: str, written: Written) -> None:
    assert read_number(text) == written


@pytest.mark.parametrize(
    "text", ["", "-", ".", "1.2.3", "1,234.5", "1 234", "21.", "12:00", "0x10", "21 K", "1e", "NaN"]
)  # fmt: skip
def test_other_texts_are_no_numbers(text: str) -> None:
    assert read_number(text) is None
