"""Words and numbers as they are printed, against values converted by hand.

Fahrenheit = 9/5 °C + 32, the inch is 2.54 cm and the ounce 28.349523125 g exactly
(NIST SP 811, appendix B.8).
"""

from datetime import date
from decimal import Decimal

import pytest

from husbandry.rules.vocabulary import Quantity
from placements.rules.packets import words

D = Decimal
ON = date(2026, 3, 12)


@pytest.mark.parametrize(
    ("low", "high", "quantity", "expected"),
    [
        ("29.4", "32.2", Quantity.TEMPERATURE_C, "29.4–32.2 °C (85–90 °F)"),
        ("10", None, Quantity.TEMPERATURE_C, "at least 10.0 °C (at least 50 °F)"),
        (None, "-40", Quantity.TEMPERATURE_C, "at most −40.0 °C (at most −40 °F)"),
        ("70", "100", Quantity.HUMIDITY_PCT, "70–100 %"),
        ("2", "3.5", Quantity.UV_INDEX, "UV index 2.0–3.5"),
        (None, "0", Quantity.UV_INDEX, "no UV, dark"),
        (None, None, Quantity.TEMPERATURE_C, "no limit"),
    ],
)
def test_wanted(
    low: str | None, high: str | None, quantity: Quantity, expected: str
) -> None:
    ends = [None if end is None else D(end) for end in (low, high)]

    assert words.wanted_both(ends[0], ends[1], quantity) == expected


def test_sizes_and_masses() -> None:
    assert words.size_both(D("60.96"), D("61"), D("121.92")) == (
        "61 × 61 × 122 cm (24 × 24 × 48 in)"
    )
    assert words.mass_band(D("85"), D("118")) == "85–118 g (3.00–4.16 oz)"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("22.10", "22.1"),
        ("100", "100"),
        ("1E+2", "100"),
        ("0.00", "0"),
        ("-3.50", "-3.5"),
    ],
)
def test_exact_has_one_form(given: str, expected: str) -> None:
    assert str(words.exact(D(given))) == expected
    assert words.plain_number(D(given)) == expected
