"""Words and numbers that are frozen into a packet, in both systems of units."""

from datetime import date
from decimal import Decimal

from core.units import (
    LengthUnit,
    MassUnit,
    TemperatureUnit,
    from_celsius,
    from_centimetres,
)
from husbandry.rules.sentences.numbers import (
    METRIC,
    Units,
    band,
    mass,
    signed,
)
from husbandry.rules.vocabulary import Period, Quantity, Zone

IMPERIAL = Units(TemperatureUnit.F, MassUnit.OZ)
MONTHS = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)
SPOTS = {
    Zone.BASKING: "Basking spot",
    Zone.AMBIENT: "Rest of the enclosure",
    Zone.COOL: "Cool part",
    Zone.EGGS: "Among the eggs",
}
MATTERS = {
    Quantity.TEMPERATURE_C: "temperature",
    Quantity.HUMIDITY_PCT: "humidity",
    Quantity.UV_INDEX: "UV index",
}
PERIODS = {Period.DAY: "by day", Period.NIGHT: "at night"}
# The order of a day; spots that are not named come last.
SPOT_ORDER = (
    (Zone.BASKING, Period.DAY),
    (Zone.COOL, Period.DAY),
    (Zone.AMBIENT, Period.DAY),
)


def day(on: date) -> str:
    """Return a day that nobody can misread: `12 Mar 2027`."""
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def spot(quantity: Quantity, zone: Zone, period: Period) -> str:
    """Return what is measured where and when, as a person says it."""
    return f"{SPOTS[zone]}, {MATTERS[quantity]} {PERIODS[period]}"


def place_in_day(zone: Zone, period: Period) -> int:
    """Return where a spot stands in the order of a day: basking spot first."""
    found = (zone, period)
    return SPOT_ORDER.index(found) if found in SPOT_ORDER else len(SPOT_ORDER)


def wanted(low: Decimal | None, high: Decimal | None, quantity: Quantity) -> str:
    """Return a band in the metric unit; no UV at all is said in words."""
    if quantity is Quantity.UV_INDEX and high == 0:
        return "no UV, dark"
    return band(_float(low), _float(high), quantity, METRIC)


def wanted_imperial(
    low: Decimal | None, high: Decimal | None, quantity: Quantity
) -> str:
    """Return a band in whole degrees Fahrenheit; nothing else has a second unit."""
    if quantity is not Quantity.TEMPERATURE_C:
        return ""
    if low is not None and high is not None:
        return f"{_fahrenheit(low)}–{_fahrenheit(high)} °F"
    if low is not None:
        return f"at least {_fahrenheit(low)} °F"
    return f"at most {_fahrenheit(high)} °F" if high is not None else ""


def _fahrenheit(value_c: Decimal) -> str:
    return signed(from_celsius(value_c, TemperatureUnit.F), 0)


def wanted_both(low: Decimal | None, high: Decimal | None, quantity: Quantity) -> str:
    """Return a band in both units, the second in brackets where there is one."""
    second = wanted_imperial(low, high, quantity)
    first = wanted(low, high, quantity)
    return f"{first} ({second})" if second else first


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def mass_band(low_g: Decimal, high_g: Decimal) -> str:
    """Return a band of masses in grams and ounces."""
    return (
        f"{plain_number(low_g)}–{plain_number(high_g)} g "
        f"({mass(low_g, IMPERIAL).split(' ')[0]}–{mass(high_g, IMPERIAL)})"
    )


def inches(length_cm: Decimal) -> str:
    """Return a length in whole inches, as a number only."""
    return f"{from_centimetres(length_cm, LengthUnit.IN):.0f}"


def size_both(width_cm: Decimal, depth_cm: Decimal, height_cm: Decimal) -> str:
    """Return width × depth × height in whole centimetres and inches."""
    sides = (width_cm, depth_cm, height_cm)
    metric = " × ".join(f"{s:.0f}" for s in sides)
    return f"{metric} cm ({' × '.join(inches(s) for s in sides)} in)"


def plain_number(value: Decimal) -> str:
    """Return a decimal without trailing zeros and without an exponent."""
    return f"{exact(value):f}"


def exact(value: Decimal) -> Decimal:
    """Return a decimal in its one shortest form, so that 22.10 and 22.1 hash alike."""
    short = value.normalize()
    return short.quantize(Decimal(1)) if short == short.to_integral_value() else short


def number_range(low: Decimal | int, high: Decimal | int) -> str:
    """Return `2–3`, or `2` where both are the same."""
    first, last = plain_number(Decimal(low)), plain_number(Decimal(high))
    return first if first == last else f"{first}–{last}"
