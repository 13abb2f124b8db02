"""Sentences about what was measured, and about the instruments."""

from collections.abc import Callable, Mapping
from typing import Any

from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Quantity, Zone

Evidence = Mapping[str, Any]
Teller = Callable[[Evidence, Units], str]


def outside(side: str) -> Teller:
    """Return what tells of time spent `below` or `above` the wanted band."""
    extreme = {"below": "lowest", "above": "highest"}[side]

    def tell(e: Evidence, units: Units) -> str:
        quantity = Quantity(e["quantity"])
        return " ".join(
            (
                names.sentence(names.QUANTITIES[quantity]),
                names.ZONES[Zone(e["zone"])],
                f"by {e['period']}: {side} the wanted",
                numbers.band(e["low"], e["high"], quantity, units),
                f"for {numbers.duration(e['outside_s'])}",
                f"of {numbers.duration(e['covered_s'])} measured",
                f"({numbers.duration(e['tolerated_s'])} tolerated),",
                f"{numbers.duration(e['longest_s'])} at a stretch",
                f"from {e['longest_from'][-5:]};",
                f"mean {numbers.value(e['mean'], quantity, units)},",
                f"{extreme} {numbers.value(e[extreme], quantity, units)}.",
                *_hard_limit(e, quantity, units),
                *_part_of_day(e),
            )
        )

    return tell


def _hard_limit(e: Evidence, quantity: Quantity, units: Units) -> tuple[str, ...]:
    if not e["past_hard"]:
        return ()
    return (f"It passed the limit of {numbers.value(e['hard'], quantity, units)}.",)


def _part_of_day(e: Evidence) -> tuple[str, ...]:
    if e["stayed_s"] is None:
        return ()
    return (f"It stayed there {numbers.duration(e['stayed_s'])} of that day.",)


def no_data(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a probe that was silent for a part of the day."""
    if not e["covered_s"]:
        return f"Probe {e['probe']} reported nothing all day."
    share = 100 * e["covered_s"] / e["expected_s"]
    silent = numbers.duration(e["expected_s"] - e["covered_s"])
    return f"Probe {e['probe']} covered {share:.0f} % of the day; silent for {silent}."


def stuck(e: Evidence, units: Units) -> str:
    """Tell of a probe that did not move."""
    quantity = Quantity(e["quantity"])
    what = (
        f"one and the same {names.QUANTITIES[quantity]}"
        if e["value"] is None
        else numbers.value(e["value"], quantity, units)
    )
    return (
        f"Probe {e['probe']} reported {what} without any change for "
        f"{numbers.duration(e['stuck_s'])}."
    )


def impossible(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of values that cannot be true."""
    return (
        f"Probe {e['probe']} reported {names.QUANTITIES[Quantity(e['quantity'])]} "
        f"values that cannot be true for {numbers.duration(e['impossible_s'])}; they "
        "were left out."
    )


def unmeasured(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of targets that nothing measures."""
    wanted = ", ".join(
        f"{names.QUANTITIES[Quantity(m['quantity'])]} {names.ZONES[Zone(m['zone'])]}"
        for m in e["missing"]
    )
    return f"Wanted, but measured by nothing: {wanted}."
