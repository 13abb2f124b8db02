"""Units at the doors: stored is SI (°C, g, cm), shown is what a person chose.

Source:
    bipm-si and nist-sp811 in docs/sources.md: the pound is 453.59237 g and the
    inch 2.54 cm exactly; the Fahrenheit scale is 9/5 of the Celsius scale + 32.
"""

from decimal import Decimal
from enum import StrEnum

GRAMS_PER_POUND = Decimal("453.59237")
GRAMS_PER_OUNCE = GRAMS_PER_POUND / 16
CM_PER_INCH = Decimal("2.54")
_FIVE_NINTHS = Decimal(5) / Decimal(9)


class TemperatureUnit(StrEnum):
    """A scale of temperature."""

    C = "C"
    F = "F"


class MassUnit(StrEnum):
    """A unit of mass."""

    G = "g"
    KG = "kg"
    OZ = "oz"
    LB = "lb"


class LengthUnit(StrEnum):
    """A unit of length."""

    CM = "cm"
    IN = "in"


GRAMS_PER = {
    MassUnit.G: Decimal(1),
    MassUnit.KG: Decimal(1000),
    MassUnit.OZ: GRAMS_PER_OUNCE,
    MassUnit.LB: GRAMS_PER_POUND,
}


def celsius(value: Decimal, unit: TemperatureUnit) -> Decimal:
    """Return a temperature on the Celsius scale."""
    if unit is TemperatureUnit.C:
        return value
    return (value - 32) * _FIVE_NINTHS


def from_celsius(value_c: Decimal, unit: TemperatureUnit) -> Decimal:
    """Return a Celsius temperature on the wanted scale."""
    if unit is TemperatureUnit.C:
        return value_c
    return value_c * 9 / 5 + 32


def kelvin_difference(difference: Decimal, unit: TemperatureUnit) -> Decimal:
    """Return a *difference* of temperatures in kelvin: no offset of 32 here."""
    if unit is TemperatureUnit.C:
        return difference
    return difference * _FIVE_NINTHS


def from_kelvin_difference(difference_k: Decimal, unit: TemperatureUnit) -> Decimal:
    """Return a difference in kelvin in degrees of the wanted scale."""
    if unit is TemperatureUnit.C:
        return difference_k
    return difference_k * 9 / 5


def grams(value: Decimal, unit: MassUnit) -> Decimal:
    """Return a mass in grams."""
    return value * GRAMS_PER[unit]


def from_grams(value_g: Decimal, unit: MassUnit) -> Decimal:
    """Return a mass in grams in the wanted unit."""
    return value_g / GRAMS_PER[unit]


def centimetres(value: Decimal, unit: LengthUnit) -> Decimal:
    """Return a length in centimetres."""
    return value * CM_PER_INCH if unit is LengthUnit.IN else value


def from_centimetres(value_cm: Decimal, unit: LengthUnit) -> Decimal:
    """Return a length in centimetres in the wanted unit."""
    return value_cm / CM_PER_INCH if unit is LengthUnit.IN else value_cm
