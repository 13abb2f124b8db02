"""What was wanted of a home's enclosure and what was found, each in its own words."""

from collections.abc import Callable
from decimal import Decimal

from core.units import LengthUnit, TemperatureUnit, from_centimetres
from husbandry.rules.sentences.numbers import Units, band, day, days, duration
from husbandry.rules.vocabulary import Quantity
from placements.rules.readiness.values import Json
from placements.rules.vocabulary import ReadinessMatter, UnitSystem, UvbLamp

LAMPS = {
    UvbLamp.LINEAR_T5: "a linear T5 tube",
    UvbLamp.LINEAR_T8: "a linear T8 tube",
    UvbLamp.COMPACT: "a compact lamp",
    UvbLamp.OTHER: "another lamp",
    UvbLamp.NONE: "no UVB lamp",
}


def units_of_home(system: UnitSystem) -> Units:
    """Return the units of temperature and mass that a home reads."""
    if system is UnitSystem.IMPERIAL:
        return Units(temperature=TemperatureUnit.F)
    return Units()


_Pair = tuple[str, str]
_Tell = Callable[[Json, Json, UnitSystem], _Pair]


def told(
    matter: ReadinessMatter,
    quantity: Quantity | None,
    judged: Json,
    system: UnitSystem,
) -> _Pair:
    """Return what is wanted and what was found.

    Args:
        matter: which.
        quantity: that was measured; None: nothing is.
        judged: as it is kept.
        system: the reader's units.
    """
    wanted, found = judged["wanted"], judged["found"]
    if quantity is not None:
        return _measured(wanted, found, quantity, system)
    return _TELL[matter](wanted, found, system)


def _measured(
    wanted: Json, found: Json, quantity: Quantity, system: UnitSystem
) -> _Pair:
    units = units_of_home(system)
    limits = band(wanted["low"], wanted["high"], quantity, units)
    if "measured" not in found:
        low, high = found["lowest"], found["highest"]
        return (
            limits,
            f"{band(low, high, quantity, units)} by hand on {day(found['on'])}",
        )
    tolerated = duration(wanted["tolerated_s"])
    wanted_words = f"{limits}; up to {tolerated} of a period outside is put up with"
    number = len(found["measured"])
    whole = f"{found['days']} of {days(number)} measured well enough"
    return wanted_words, whole if number else "nothing measured"


def day_lines(
    found: Json, quantity: Quantity | None, system: UnitSystem
) -> tuple[str, ...]:
    """Return what was measured, a line for each local day, the newest first."""
    if quantity is None:
        return ()
    units = units_of_home(system)
    return tuple(_day(one, quantity, units) for one in found.get("measured", ()))


def _day(measured: Json, quantity: Quantity, units: Units) -> str:
    on = day(measured["on"])
    told = [f"{on}: nothing that can be believed"]
    if measured["lowest"] is not None:
        low, high = measured["lowest"], measured["highest"]
        told = [f"{on}: {band(low, high, quantity, units)}"]
    if measured["below_s"]:
        told.append(f"{duration(measured['below_s'])} below")
    if measured["above_s"]:
        told.append(f"{duration(measured['above_s'])} above")
    covered, whole = measured["covered_s"], measured["expected_s"]
    told.append(f"measured {duration(covered)} of {duration(whole)}")
    return ", ".join(told)


def _size(wanted: Json, found: Json, system: UnitSystem) -> _Pair:
    least = f"at least {_box(wanted, system)}" if wanted else ""
    return least, _box(found, system) if found else ""


def _box(size: Json, system: UnitSystem) -> str:
    sides = (size["width_cm"], size["depth_cm"], size["height_cm"])
    numbers = " × ".join(_length(side, system) for side in sides)
    return f"{numbers} {_unit(system)} wide, deep, high"


def _length(cm: float, system: UnitSystem) -> str:
    shown = from_centimetres(Decimal(str(cm)), LengthUnit(_unit(system)))
    return f"{shown:.1f}".removesuffix(".0")


def _unit(system: UnitSystem) -> str:
    return "in" if system is UnitSystem.IMPERIAL else "cm"


def _light(wanted: Json, found: Json, _system: UnitSystem) -> _Pair:
    hours = ""
    if wanted:
        low, high = wanted["hours_low"], wanted["hours_high"]
        hours = f"{low:g} h a day" if low == high else f"{low:g} to {high:g} h a day"
    return hours, f"{found['light_h']:g} h a day"


def _lamp(wanted: Json, found: Json, system: UnitSystem) -> _Pair:
    unit = _unit(system)
    low = _length(wanted["distance_low_cm"], system)
    high = _length(wanted["distance_high_cm"], system)
    class_words = f"{wanted['percent_low']:g} to {wanted['percent_high']:g} %"
    asked = (
        f"a linear high-output T5 tube of the {class_words} class, {low} to {high} "
        f"{unit} above the highest perch"
    )
    if wanted["uv_index"]:
        low_index, high_index = wanted["uv_index"]
        index = band(low_index, high_index, Quantity.UV_INDEX)
        asked = f"{asked}; better a {index} measured there"
    there = [LAMPS[UvbLamp(found["lamp"])]]
    if found["percent"] is not None:
        there.append(f"{found['percent']:g} %")
    if found["distance_cm"] is not None:
        there.append(f"{_length(found['distance_cm'], system)} {unit} to the perch")
    if found["through_screen"]:
        there.append("through a screen")
    return asked, ", ".join(there)


def _company(wanted: Json, found: Json, _system: UnitSystem) -> _Pair:
    most = wanted.get("animals")
    asked = "" if most is None else "alone" if most == 1 else f"at most {most} together"
    others = found["animals"] - 1
    return asked, "nobody else" if not others else f"{others} that live there already"


def _sight(_wanted: Json, found: Json, _system: UnitSystem) -> _Pair:
    seen = {True: "another can be seen", False: "none can be seen", None: "not said"}
    return "no other of its kind in sight from inside", seen[found["sees_others"]]


def _bin(_wanted: Json, found: Json, _system: UnitSystem) -> _Pair:
    return "a bin to dig and lay in", "there" if found["laying_bin"] else "none"


_TELL: dict[ReadinessMatter, _Tell] = {
    ReadinessMatter.SIZE: _size,
    ReadinessMatter.LIGHT_HOURS: _light,
    ReadinessMatter.UVB_LAMP: _lamp,
    ReadinessMatter.COMPANY: _company,
    ReadinessMatter.SIGHT: _sight,
    ReadinessMatter.LAYING_BIN: _bin,
}
