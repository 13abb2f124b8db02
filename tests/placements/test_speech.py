"""Words and numbers as they are printed, against values converted by hand.

Fahrenheit = 9/5 °C + 32, the inch is 2.54 cm and the ounce 28.349523125 g exactly
(NIST SP 811, appendix B.8).
"""

from datetime import date, time
from decimal import Decimal

import pytest

from husbandry.rules.vocabulary import DatePrecision, Quantity
from placements.rules.packets.printing import quantities
from placements.rules.packets.printing.speech import english
from placements.rules.vocabulary import UnitSystem

D = Decimal
ON = date(2026, 3, 12)
METRIC, IMPERIAL = english(), english(UnitSystem.IMPERIAL)
T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX


@pytest.mark.parametrize(
    ("on", "precision", "expected"),
    [
        (ON, DatePrecision.DAY, "12 Mar 2026"),
        (ON, DatePrecision.MONTH, "in Mar 2026"),
        (ON, DatePrecision.YEAR, "in 2026"),
        (None, DatePrecision.UNKNOWN, "not known"),
    ],
)
def test_roughly(on: date | None, precision: DatePrecision, expected: str) -> None:
    assert METRIC.roughly(on, precision) == expected


@pytest.mark.parametrize(
    ("hatched_on", "expected"),
    [
        (date(2026, 3, 12), "0 days"),
        (date(2026, 3, 11), "1 day"),
        (date(2026, 1, 16), "55 days"),
        (date(2026, 1, 15), "8 weeks"),
        (date(2025, 9, 1), "6 months"),
        (date(2024, 3, 1), "2 years and 0 months"),
        (date(2023, 2, 1), "3 years and 1 month"),
    ],
)
def test_age(hatched_on: date, expected: str) -> None:
    assert METRIC.age(hatched_on, ON) == expected


@pytest.mark.parametrize(
    ("number", "quantity", "expected"),
    [
        ("18.74", Quantity.TEMPERATURE_C, "18.7 °C"),
        ("-0.5", Quantity.TEMPERATURE_C, "−0.5 °C"),
        ("69.6", Quantity.HUMIDITY_PCT, "70 %"),
        ("3.04", Quantity.UV_INDEX, "3.0"),
        ("0", Quantity.UV_INDEX, "0.0"),
    ],
)
def test_measured(number: str, quantity: Quantity, expected: str) -> None:
    assert quantities.measured(METRIC, D(number), quantity) == expected


@pytest.mark.parametrize(
    ("low", "high", "quantity", "metric", "imperial"),
    [
        ("29.4", "32.2", T, "29.4–32.2 °C (85–90 °F)", "85–90 °F (29.4–32.2 °C)"),
        (
            *("10", None, T),
            "at least 10.0 °C (at least 50 °F)",
            "at least 50 °F (at least 10.0 °C)",
        ),
        (
            *(None, "-40", T),
            "at most −40.0 °C (at most −40 °F)",
            "at most −40 °F (at most −40.0 °C)",
        ),
        ("70", "100", H, "70–100 %", "70–100 %"),
        ("2", "3.5", U, "UV index 2.0–3.5", "UV index 2.0–3.5"),
        (None, "0", U, "no UV, dark", "no UV, dark"),
        (None, None, T, "no limit", "no limit"),
    ],
)
def test_wanted_in_the_units_of_the_home(
    low: str | None, high: str | None, quantity: Quantity, metric: str, imperial: str
) -> None:
    ends = [None if end is None else D(end) for end in (low, high)]

    found = [
        quantities.wanted_both(speech, ends[0], ends[1], quantity)
        for speech in (METRIC, IMPERIAL)
    ]

    assert found == [metric, imperial]


def test_sizes_and_masses_in_the_units_of_the_home() -> None:
    sides = D("60.96"), D("61"), D("121.92")

    assert quantities.size_both(METRIC, *sides) == "61 × 61 × 122 cm (24 × 24 × 48 in)"
    assert quantities.size_both(IMPERIAL, *sides) == (
        "24 × 24 × 48 in (61 × 61 × 122 cm)"
    )
    assert quantities.mass_both(METRIC, D("28.349523125")) == "28.3 g (1.00 oz)"
    assert quantities.mass_both(IMPERIAL, D("28.349523125")) == "1.00 oz (28.3 g)"
    assert quantities.mass_span(METRIC, D("9.5"), D("22.1")) == "9.50–22.1 g"
    assert quantities.mass_span(IMPERIAL, D(85), D(85)) == "3.00 oz"
    assert quantities.mass_change(IMPERIAL, D("-28.349523125")) == "−1.00 oz"
    assert quantities.mass_change(METRIC, D("0.00")) == "±0 g"
    assert quantities.limit(IMPERIAL, D(35), T) == "95 °F (35.0 °C)"
    assert quantities.drawn(IMPERIAL, D(100), T) == 212


@pytest.mark.parametrize(
    ("at", "metric", "imperial"),
    [
        (time(0, 5), "00:05", "12:05 am"),
        (time(7, 30), "07:30", "7:30 am"),
        (time(12, 0), "12:00", "12:00 pm"),
        (time(19, 0), "19:00", "7:00 pm"),
    ],
)
def test_clock(at: time, metric: str, imperial: str) -> None:
    assert (METRIC.clock(at), IMPERIAL.clock(at)) == (metric, imperial)


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (1, 1, "every day"),
        (2, 2, "every other day"),
        (3, 3, "every 3 days"),
        (2, 3, "every 2–3 days"),
    ],
)
def test_every(low: int, high: int, expected: str) -> None:
    assert METRIC.every(low, high) == expected


def test_values_with_braces_are_printed_as_they_are() -> None:
    assert METRIC.say("held until {day}", day="{x}") == "held until {x}"
    assert METRIC.say("") == ""
