"""Numbers as people read them: with a unit, a sign where they differ, a length of time."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from core.units import MassUnit, TemperatureUnit, from_celsius, from_grams
from husbandry.rules.vocabulary import Quantity

MINUS = "−"
MONTHS = (
    "Jan",
    "Feb",
    "Mar",
    "Apr",
    "May",
    "Jun",
    "Jul",
    "Aug",
    "Sep",
    "Oct",
    "Nov",
    "Dec",
)
# Below this a tenth of a gram is too coarse.
HATCHLING_BELOW_G = 10


@dataclass(frozen=True, slots=True)
class Units:
    """The units a person chose."""

    temperature: TemperatureUnit = TemperatureUnit.C
    mass: MassUnit = MassUnit.G


METRIC = Units()


def value(number: float, quantity: Quantity, units: Units = METRIC) -> str:
    """Return a measured or wanted value with its unit, one decimal."""
    if quantity is Quantity.TEMPERATURE_C:
        shown = from_celsius(Decimal(str(number)), units.temperature)
        return f"{signed(shown, 1)} °{units.temperature.value}"
    if quantity is Quantity.HUMIDITY_PCT:
        return f"{signed(Decimal(str(number)), 0)} %"
    return f"UV index {signed(Decimal(str(number)), 1)}"


def band(
    low: float | None, high: float | None, quantity: Quantity, units: Units = METRIC
) -> str:
    """Return a wanted band: `18.0–21.0 °C`, `at least …` or `at most …`."""
    if low is not None and high is not None:
        whole = value(high, quantity, units)
        first = value(low, quantity, units).removeprefix("UV index ").split(" ")[0]
        prefix = "UV index " if quantity is Quantity.UV_INDEX else ""
        return f"{prefix}{first}–{whole.removeprefix('UV index ')}"
    if low is not None:
        return f"at least {value(low, quantity, units)}"
    if high is not None:
        return f"at most {value(high, quantity, units)}"
    return "no limit"


def mass(grams: Decimal | float | str, units: Units = METRIC) -> str:
    """Return a mass in the chosen unit, precise enough for a hatchling."""
    shown = from_grams(Decimal(str(grams)), units.mass)
    places = {MassUnit.G: 1, MassUnit.KG: 4, MassUnit.OZ: 2, MassUnit.LB: 3}
    finer = units.mass is MassUnit.G and abs(shown) < HATCHLING_BELOW_G
    return f"{signed(shown, places[units.mass] + finer)} {units.mass.value}"


def percent(number: float, *, places: int = 1) -> str:
    """Return a signed change in percent: `−7.5 %`, `+3.0 %`."""
    shown = signed(Decimal(str(number)), places)
    return f"{shown} %" if number < 0 else f"+{shown} %"


def duration(seconds: float) -> str:
    """Return a length of time in hours and minutes, rounded to the minute."""
    minutes = round(seconds / 60)
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h" if not rest else f"{hours} h {rest} min"


def days(number: int) -> str:
    """Return a number of days in words."""
    return "1 day" if number == 1 else f"{number} days"


def every(days_low: int, days_high: int) -> str:
    """Return a rhythm in words: `every day`, `every 2–3 days`."""
    if days_low != days_high:
        return f"every {days_low}–{days_high} days"
    words = {1: "every day", 2: "every other day"}
    return words.get(days_low, f"every {days_low} days")


def day(iso: str) -> str:
    """Return a date as nobody can misread it: `7 Oct 2026`."""
    on = date.fromisoformat(iso)
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def signed(number: Decimal, places: int) -> str:
    """Return a number rounded half-even, with a true minus sign."""
    return f"{number:.{places}f}".replace("-", MINUS)
