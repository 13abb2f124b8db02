"""Sentences about eggs, females that should lay, and heels that want a second look.

An hour of cool does eggs no harm, and a late clutch is not a dead one: what is said
here says how much, for how long, and what it means, and alarms nobody without need.
"""

from typing import Any

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.breeding_steps import STEPS
from husbandry.rules.sentences.conditions import Evidence, Teller
from husbandry.rules.sentences.names import listed
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, Quantity

__all__ = ["STEPS", "TELLERS"]

K = FindingKind
BASES = {
    "published_rate": "by a published rate of development and how warm they were",
    "own_clutches": "by how long earlier clutches here took and how warm they were",
    "profile_window": "by the care profile's window alone",
}


def subject(e: Evidence) -> str:
    """Return which clutch and which box: `C-07 in box B-2`; "": about neither."""
    boxes = e.get("boxes") or ([e["box"]] if e.get("box") else [])
    lying = f"{'box' if len(boxes) == 1 else 'boxes'} {listed(boxes)}" if boxes else ""
    return " in ".join(part for part in (e.get("clutch"), lying) if part)


def who(e: Evidence) -> str:
    """Return clutch and box with where they stand, as far as that is on record."""
    where = [f"incubator {e['enclosure']}"] if e.get("enclosure") else []
    place = ", ".join([*where, *([str(e["room"])] if e.get("room") else [])])
    return f"{subject(e)} ({place})" if place else subject(e)


def too_warm(e: Evidence, units: Units) -> str:
    """Tell of eggs above their band, and of any time past the limit."""
    told = (
        f"{_eggs(e['eggs'])} {_phase(e)}: above the wanted {_c(e['high'], units)} for "
        f"{numbers.duration(e['above_s'])} of {numbers.duration(e['covered_s'])} "
        f"measured, {numbers.duration(e['longest_s'])} at a stretch; mean "
        f"{_c(e['mean'], units)}, highest {_c(e['highest'], units)}."
    )
    return f"{told}{_past(e, e['hard_high'], units)}"


def too_cool(e: Evidence, units: Units) -> str:
    """Tell of eggs below their band, and what it costs them."""
    told = (
        f"{_eggs(e['eggs'])} {_phase(e)}: below the wanted {_c(e['low'], units)} for "
        f"{numbers.duration(e['below_s'])} of {numbers.duration(e['covered_s'])} "
        f"measured, {numbers.duration(e['longest_s'])} at a stretch; mean "
        f"{_c(e['mean'], units)}, lowest {_c(e['lowest'], units)}."
    )
    if e["past_hard"]:
        return f"{told}{_past(e, e['hard_low'], units)}"
    if e["lost_days"] is None:
        return (
            f"{told} It slows development; by how much is not known for this species."
        )
    return f"{told} It sets development back by about {e['lost_days']:g} days."


def _past(e: Evidence, hard: float, units: Units) -> str:
    if not e["past_hard"]:
        return ""
    return f" Past the limit of {_c(hard, units)} for {numbers.duration(e['past_hard_s'])}."


def unmeasured(e: Evidence, units: Units) -> str:
    """Tell of eggs of which nobody knows how warm they were."""
    eggs = _eggs(e["eggs"])
    if e["why"] == "nowhere":
        return f"{eggs} in a box that stands in no incubator on record."
    if e["why"] == "no_probe":
        return f"{eggs} where nothing measures the temperature."
    gaps = "; ".join(_gap(gap, units) for gap in e["gaps"])
    fell = " A fall like that looks like a power cut." if _fell(e) else ""
    return f"{eggs}, and for {e['hours']:g} h nobody knows how warm: {gaps}.{fell}"


def _gap(gap: dict[str, Any], units: Units) -> str:
    begin = f"from {_at(gap['from'])}" if gap["from"] else "from the day's beginning"
    end = f"to {_at(gap['until'])}" if gap["until"] else "to the day's end"
    known = [
        f"{_c(gap[key], units)} {word}"
        for key, word in (("before_c", "before"), ("after_c", "after"))
        if gap[key] is not None
    ]
    return f"{begin} {end}{f' ({listed(known)})' if known else ''}"


def _fell(e: Evidence) -> bool:
    return any(gap.get("fell") for gap in e["gaps"])


def unplaced(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of eggs that lie nowhere on record."""
    one = e["eggs"] == 1
    verb, them = ("incubates and lies", "it") if one else ("incubate and lie", "them")
    return (
        f"{_eggs(e['eggs'])} {verb} in no box on record, so nobody watches over {them}."
    )


def unchecked(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a box into which nobody looked."""
    wanted = f"a look at least every {numbers.days(e['limit_days'])} is wanted"
    holding = f"Holds {listed(e['clutches'])}"
    if e["checked_on"] is None:
        return (
            f"{holding}; no look into it is on record in {numbers.days(e['days'])}; "
            f"{wanted}."
        )
    return (
        f"{holding}; last looked into on {numbers.day(e['checked_on'])}, "
        f"{numbers.days(e['days'])} ago; {wanted}."
    )


def hatch_due(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a window that has come, as a window."""
    return (
        f"Day {e['day']}: {_eggs(e['eggs'])} expected to hatch between "
        f"{numbers.day(e['earliest_on'])} and {numbers.day(e['latest_on'])}, most "
        f"likely about {numbers.day(e['likely_on'])} ({_rests_on(e)}).{_out(e)}"
    )


def hatch_overdue(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of eggs that are left after their window."""
    return (
        f"Day {e['day']}: {_eggs(e['eggs'])} left after the window in which the clutch was "
        f"expected to hatch, {numbers.day(e['earliest_on'])} to "
        f"{numbers.day(e['latest_on'])} ({_rests_on(e)}).{_out(e)}"
    )


def _rests_on(e: Evidence) -> str:
    told = BASES[e["rests_on"]]
    if e["past"]:
        count = "1 clutch" if e["past"] == 1 else f"{e['past']} clutches"
        told = f"{told}, from {count}"
    if e["coverage"] is None:
        return f"{told}; how many clutches keep to it is not known"
    share = f"{100 * float(e['coverage']):.0f} %"
    return f"{told}; meant to hold for {share} of clutches"


def _out(e: Evidence) -> str:
    pipped = f"{e['pipped']} pipped" if e["pipped"] else ""
    hatched = f"{e['hatched']} of the clutch hatched" if e["hatched"] else ""
    known = [part for part in (pipped, hatched) if part]
    return f" So far {listed(known)}." if known else ""


def laying_overdue(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a female of whom no laying is on record."""
    sire = f" with {e['sire']}" if e.get("sire") else ""
    return (
        f"Put together{sire} on {numbers.day(e['mated_on'])}, {numbers.days(e['days'])} "
        f"ago; laying was expected from {numbers.day(e['window_from'])} to "
        f"{numbers.day(e['window_until'])}, and none is on record."
    )


def spur_look_due(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell why heels want another look."""
    looks = "; ".join(_look(look) for look in e["looks"])
    return f"{WHY_LOOK[e['why']]} {looks}. Open for {numbers.days(e['days'])}."


def _look(look: dict[str, Any]) -> str:
    by = f"by {look['by']} on" if look["by"] else "on"
    return f"{by} {numbers.day(look['on'])}: left {look['left']}, right {look['right']}"


WHY_LOOK = {
    "second_look": "A second person's look at the heels is asked for. Seen",
    "disagree": "Two looks at the heels disagree, so the sex is not confirmed. Seen",
    "one_sided": "A spur was seen at one heel only, so the sex is not told. Seen",
    "unclear": "The heels could not be told apart yet. Seen",
}


def _c(celsius: float, units: Units) -> str:
    return numbers.value(celsius, Quantity.TEMPERATURE_C, units)


def _eggs(number: int) -> str:
    return "1 egg" if number == 1 else f"{number} eggs"


def _phase(e: Evidence) -> str:
    by = f" by {e['period']}" if e["period"] else ""
    whose = "the" if e["eggs"] == 1 else "their"
    return f"in {whose} {e['phase']} phase{by}"


def _at(local: str) -> str:
    on, clock = local.split(" ")
    return f"{numbers.day(on)} {clock}"


TELLERS: dict[FindingKind, Teller] = {
    K.EGGS_TOO_WARM: too_warm,
    K.EGGS_TOO_COOL: too_cool,
    K.EGGS_UNMEASURED: unmeasured,
    K.EGGS_UNPLACED: unplaced,
    K.BOX_UNCHECKED: unchecked,
    K.HATCH_DUE: hatch_due,
    K.HATCH_OVERDUE: hatch_overdue,
    K.LAYING_OVERDUE: laying_overdue,
    K.SPUR_LOOK_DUE: spur_look_due,
}
