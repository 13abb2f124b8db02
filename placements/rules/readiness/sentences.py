"""What was judged of a home's enclosure, in words that a home understands."""

from collections.abc import Sequence
from dataclasses import dataclass

from husbandry.rules.sentences import names
from husbandry.rules.sentences.numbers import band
from husbandry.rules.vocabulary import Period, Quantity, Standing, Zone
from placements.rules.readiness.telling import day_lines, told, units_of_home
from placements.rules.readiness.values import Json
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter, UnitSystem

STATES = {
    Readiness.AS_WANTED: "as wanted",
    Readiness.NOT_AS_WANTED: "not as wanted",
    Readiness.NOT_KNOWN: "not known yet",
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


def matter_words(judged: Json, system: UnitSystem) -> MatterWords:
    """Return one matter of a review in words.

    Args:
        judged: as it is kept; see `to_document`.
        system: the reader's units.
    """
    matter = ReadinessMatter(judged["matter"])
    state = Readiness(judged["state"])
    quantity = Quantity(judged["quantity"]) if judged["quantity"] else None
    wanted, found = told(matter, quantity, judged, system)
    basis = judged["basis"]
    return MatterWords(
        title=_title(matter, judged),
        state=state,
        stands=STATES[state],
        wanted=wanted,
        found=found,
        days=day_lines(judged["found"], quantity, system),
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
