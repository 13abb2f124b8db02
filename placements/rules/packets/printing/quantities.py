"""Numbers with units, the home's own first and the other beside them."""

from collections.abc import Callable
from decimal import Decimal

from core.units import LengthUnit, TemperatureUnit, from_celsius, from_centimetres
from husbandry.rules.sentences.numbers import METRIC, mass, signed
from husbandry.rules.vocabulary import Period, Quantity, Zone
from placements.rules.packets.printing.speech import Speech, word
from placements.rules.packets.words import IMPERIAL, plain_number

SPOTS = {
    Zone.BASKING: word("Basking spot"),
    Zone.AMBIENT: word("Rest of the enclosure"),
    Zone.COOL: word("Cool part"),
    Zone.EGGS: word("Among the eggs"),
}
MATTERS = {
    (Quantity.TEMPERATURE_C, Period.DAY): word("temperature by day"),
    (Quantity.TEMPERATURE_C, Period.NIGHT): word("temperature at night"),
    (Quantity.HUMIDITY_PCT, Period.DAY): word("humidity by day"),
    (Quantity.HUMIDITY_PCT, Period.NIGHT): word("humidity at night"),
    (Quantity.UV_INDEX, Period.DAY): word("UV index by day"),
    (Quantity.UV_INDEX, Period.NIGHT): word("UV index at night"),
}
CELSIUS, FAHRENHEIT = TemperatureUnit.C, TemperatureUnit.F


def spot(speech: Speech, quantity: Quantity, zone: Zone, period: Period) -> str:
    """Return what is measured where and when, as a person says it."""
    return f"{speech.say(SPOTS[zone])}, {speech.say(MATTERS[quantity, period])}"


def first_scale(speech: Speech) -> TemperatureUnit:
    """Return the scale of temperature that the home reads."""
    return FAHRENHEIT if speech.imperial else CELSIUS


def unit_of(speech: Speech, quantity: Quantity) -> str:
    """Return the unit at the axis of a drawing."""
    if quantity is Quantity.TEMPERATURE_C:
        return f"°{first_scale(speech).value}"
    return "%" if quantity is Quantity.HUMIDITY_PCT else speech.say("UV index")


def drawn(speech: Speech, value: Decimal, quantity: Quantity) -> float:
    """Return a value in the unit at the axis of a drawing."""
    if quantity is Quantity.TEMPERATURE_C:
        return float(from_celsius(value, first_scale(speech)))
    return float(value)


def wanted(
    speech: Speech, low: Decimal | None, high: Decimal | None, quantity: Quantity
) -> str:
    """Return a band in the home's unit; no UV at all is said in words."""
    if quantity is Quantity.UV_INDEX and high == 0:
        return speech.say("no UV, dark")
    return _band(speech, low, high, quantity, first_scale(speech))


def wanted_otherwise(
    speech: Speech, low: Decimal | None, high: Decimal | None, quantity: Quantity
) -> str:
    """Return a band in the other unit; "" where there is no other."""
    if quantity is not Quantity.TEMPERATURE_C or low is high is None:
        return ""
    other = CELSIUS if speech.imperial else FAHRENHEIT
    return _band(speech, low, high, quantity, other)


def wanted_both(
    speech: Speech, low: Decimal | None, high: Decimal | None, quantity: Quantity
) -> str:
    """Return a band in both units, the second in brackets where there is one."""
    first = wanted(speech, low, high, quantity)
    second = wanted_otherwise(speech, low, high, quantity)
    return f"{first} ({second})" if second else first


def limit(speech: Speech, value: Decimal, quantity: Quantity) -> str:
    """Return one value in both units."""
    first = _whole(speech, value, quantity, first_scale(speech))
    if quantity is not Quantity.TEMPERATURE_C:
        return first
    other = CELSIUS if speech.imperial else FAHRENHEIT
    return f"{first} ({_whole(speech, value, quantity, other)})"


def measured(speech: Speech, value: Decimal, quantity: Quantity) -> str:
    """Return a measured value in the home's unit; what it is stands beside it."""
    scale = first_scale(speech)
    return f"{_bare(value, quantity, scale)}{_after(quantity, scale)}"


def _band(
    speech: Speech,
    low: Decimal | None,
    high: Decimal | None,
    quantity: Quantity,
    scale: TemperatureUnit,
) -> str:
    if low is not None and high is not None:
        both = f"{_bare(low, quantity, scale)}–{_bare(high, quantity, scale)}"
        return _dressed(speech, both, quantity, scale)
    if low is not None:
        value = _whole(speech, low, quantity, scale)
        return speech.say("at least {value}", value=value)
    if high is not None:
        value = _whole(speech, high, quantity, scale)
        return speech.say("at most {value}", value=value)
    return speech.say("no limit")


def _whole(
    speech: Speech, value: Decimal, quantity: Quantity, scale: TemperatureUnit
) -> str:
    return _dressed(speech, _bare(value, quantity, scale), quantity, scale)


def _dressed(
    speech: Speech, bare: str, quantity: Quantity, scale: TemperatureUnit
) -> str:
    if quantity is Quantity.UV_INDEX:
        return speech.say("UV index {value}", value=bare)
    return f"{bare}{_after(quantity, scale)}"


def _bare(value: Decimal, quantity: Quantity, scale: TemperatureUnit) -> str:
    """Return the number alone: a tenth of a degree Celsius, whole Fahrenheit and %."""
    if quantity is Quantity.TEMPERATURE_C:
        return signed(from_celsius(value, scale), 0 if scale is FAHRENHEIT else 1)
    return signed(value, 0 if quantity is Quantity.HUMIDITY_PCT else 1)


def _after(quantity: Quantity, scale: TemperatureUnit) -> str:
    if quantity is Quantity.UV_INDEX:
        return ""
    return f" °{scale.value}" if quantity is Quantity.TEMPERATURE_C else " %"


def mass_both(speech: Speech, mass_g: Decimal) -> str:
    """Return a mass in grams and ounces."""
    first, second = mass(mass_g), mass(mass_g, IMPERIAL)
    return f"{second} ({first})" if speech.imperial else f"{first} ({second})"


def mass_span(speech: Speech, low_g: Decimal, high_g: Decimal) -> str:
    """Return two masses in the home's unit, from the lesser to the greater."""
    units = IMPERIAL if speech.imperial else METRIC
    if low_g == high_g:
        return mass(low_g, units)
    return f"{mass(low_g, units).split(' ')[0]}–{mass(high_g, units)}"


def mass_change(speech: Speech, change_g: Decimal) -> str:
    """Return a difference of masses with its sign, in the home's unit."""
    sign = "+" if change_g > 0 else "−" if change_g < 0 else "±"
    if speech.imperial:
        return f"{sign}{mass(abs(change_g), IMPERIAL)}"
    return f"{sign}{plain_number(abs(change_g))} g"


def length_both(speech: Speech, length_cm: Decimal) -> str:
    """Return a length in whole centimetres and inches."""
    return _both(speech, lambda in_unit: in_unit(length_cm))


def size_both(
    speech: Speech, width_cm: Decimal, depth_cm: Decimal, height_cm: Decimal
) -> str:
    """Return width × depth × height in whole centimetres and inches."""
    sides = (width_cm, depth_cm, height_cm)
    return _both(speech, lambda in_unit: " × ".join(in_unit(s) for s in sides))


def _both(speech: Speech, write: Callable[[Callable[[Decimal], str]], str]) -> str:
    metric = f"{write(lambda side: f'{side:.0f}')} cm"
    inches = f"{write(_inches)} in"
    return f"{inches} ({metric})" if speech.imperial else f"{metric} ({inches})"


def _inches(length_cm: Decimal) -> str:
    return f"{from_centimetres(length_cm, LengthUnit.IN):.0f}"
