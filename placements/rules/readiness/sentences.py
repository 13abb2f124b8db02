"""What was judged of a home's enclosure, in words that a home understands."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from core.units import LengthUnit, TemperatureUnit, from_centimetres
from husbandry.rules.sentences import names
from husbandry.rules.sentences.numbers import Units, band, day, days, duration
from husbandry.rules.vocabulary import Period, Quantity, Standing, Zone
from placements.rules.readiness.values import Json
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter, UnitSystem, UvbLamp

STATES = {
    Readiness.AS_WANTED: "as wanted",
    Readiness.NOT_AS_WANTED: "not as wanted",
    Readiness.NOT_KNOWN: "not known yet",
}
LAMPS = {
    UvbLamp.LINEAR_T5: "a linear T5 tube",
    UvbLamp.LINEAR_T8: "a linear T8 tube",
    UvbLamp.COMPACT: "a compact lamp",
    UvbLamp.OTHER: "another lamp",
    UvbLamp.NONE: "no UVB lamp",
}
_TITLES = {
    ReadinessMatter.SIZE: "Size",
    ReadinessMatter.LIGHT_HOURS: "Hours of light",
    ReadinessMatter.UVB_LAMP: "UVB light",
    ReadinessMatter.LAYING_BIN: "Laying bin",
    ReadinessMatter.COMPANY: "Company",
    ReadinessMatter.SIGHT: "Sight of others",
    ReadinessMatter.CLIMATE: "Climate",
}
_PERIODS = {Period.DAY: "by day", Period.NIGHT: "by night"}
_WHY = {
    Why.AS_WANTED: "",
    Why.TOO_SMALL: "It is smaller than the least inner size.",
    Why.LIGHT_HOURS: "Set the timer so that the lights burn as long as wanted.",
    Why.NO_LAYING_BIN: "Females lay with or without a male, and need a place to dig.",
    Why.SHARED: "Another enclosure is needed, one for each.",
    Why.IN_SIGHT: "Put something between them that cannot be seen through.",
    Why.OUTSIDE: "It was outside for longer than is put up with, or past a hard limit.",
    Why.FEW_DAYS: "Measure on: three local days with three quarters of the time "
    "measured are wanted.",
    Why.NOT_MEASURED: "Hang a logger there for at least three days.",
    Why.STOOD_STILL: "The instrument showed one value for most of a day, so it shows "
    "nothing. Change its battery or its place.",
    Why.NOT_SAID: "It was not said.",
    Why.NO_PROFILE: "There is no care profile of the species to compare with.",
    Why.AGE_NOT_KNOWN: "What is wanted depends on the animal's age, which is not known.",
    Why.SEX_NOT_KNOWN: "A female needs one; the animal's sex is not known.",
    Why.NO_LAMP: "Without UVB the bones soften.",
    Why.WRONG_LAMP: "It reaches too short a way. A measured UV index would go before "
    "this.",
    Why.LAMP_NEEDS_METER: "Only a UV-index meter at the highest perch can tell.",
    Why.LAMP_TOO_NEAR: "The highest perch is too near to the tube.",
    Why.LAMP_TOO_FAR: "The highest perch is too far from the tube.",
    Why.MEASURED_OUTSIDE: "Move the perch or the lamp, and measure again.",
    Why.MEASURED: "",
}


@dataclass(frozen=True, slots=True)
class MatterWords:
    """One judged matter in words; empty where there is nothing to say.

    Attributes:
        days: of what was measured, a line for each local day, the newest first.
        says: on whose word the wanted stands.
        others: what other sources say instead.
    """

    title: str
    state: Readiness
    stands: str
    wanted: str
    found: str
    days: tuple[str, ...]
    why: str
    says: str
    note: str
    others: tuple[str, ...]


def units_of_home(system: UnitSystem) -> Units:
    """Return the units of temperature and mass that a home reads."""
    if system is UnitSystem.IMPERIAL:
        return Units(temperature=TemperatureUnit.F)
    return Units()


def matter_words(judged: Json, system: UnitSystem) -> MatterWords:
    """Return one matter of a review in words.

    Args:
        judged: as it is kept; see `to_document`.
        system: the reader's units.
    """
    matter = ReadinessMatter(judged["matter"])
    state = Readiness(judged["state"])
    quantity = Quantity(judged["quantity"]) if judged["quantity"] else None
    wanted, found = _told(matter, quantity, judged, system)
    basis = judged["basis"]
    return MatterWords(
        title=_title(matter, judged),
        state=state,
        stands=STATES[state],
        wanted=wanted,
        found=found,
        days=_days(judged["found"], quantity, system),
        why=_WHY[Why(judged["why"])],
        says=_says(basis),
        note=(basis or {}).get("override") or (basis or {}).get("note", ""),
        others=_others(basis, quantity, system),
    )


def summary(words: Sequence[MatterWords]) -> str:
    """Return in a sentence how an enclosure compares in all.

    Args:
        words: of its matters; none says that nothing was compared.
    """
    states = [word.state for word in words]
    wrong = states.count(Readiness.NOT_AS_WANTED)
    open_ = states.count(Readiness.NOT_KNOWN)
    if not states:
        return "Nothing was compared."
    if not wrong and not open_:
        return "Everything is as wanted."
    parts = [f"{wrong} not as wanted"] if wrong else []
    parts += [f"{open_} not known yet"] if open_ else []
    return f"Not ready yet: {' and '.join(parts)} of {len(states)} matters."


def _title(matter: ReadinessMatter, judged: Json) -> str:
    if matter is not ReadinessMatter.CLIMATE:
        return _TITLES[matter]
    quantity = names.QUANTITIES[Quantity(judged["quantity"])]
    zone = names.ZONES[Zone(judged["zone"])]
    period = _PERIODS[Period(judged["period"])]
    return names.sentence(f"{quantity} {zone} {period}")


def _says(basis: Json | None) -> str:
    if basis is None:
        return ""
    return names.word(basis["source"], Standing(basis["standing"]))


def _others(
    basis: Json | None, quantity: Quantity | None, system: UnitSystem
) -> tuple[str, ...]:
    if basis is None or quantity is None:
        return ()
    units = units_of_home(system)
    return tuple(
        f"{band(o['low'], o['high'], quantity, units)}: "
        f"{names.word(o['source'], Standing(o['standing']))}"
        for o in basis["others"]
        if o["low"] is not None or o["high"] is not None
    )


_Pair = tuple[str, str]
_Tell = Callable[[Json, Json, UnitSystem], _Pair]


def _told(
    matter: ReadinessMatter,
    quantity: Quantity | None,
    judged: Json,
    system: UnitSystem,
) -> _Pair:
    """Return what is wanted and what was found."""
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


def _days(
    found: Json, quantity: Quantity | None, system: UnitSystem
) -> tuple[str, ...]:
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
