"""Sentences about newcomers kept apart, papers, placements and the homes after them."""

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.conditions import Evidence, Teller
from husbandry.rules.sentences.names import listed
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.sentences.rescue_steps import STEPS
from husbandry.rules.vocabulary import FindingKind

__all__ = ["STEPS", "TELLERS"]

K = FindingKind


def broken(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of an animal in quarantine that is not kept apart."""
    since = f"In quarantine since {numbers.day(e['began_on'])}"
    if e["why"] == "outside":
        where = e.get("room") or "no room"
        return f"{since}, but lives in {where}, which is not kept for quarantine."
    return (
        f"{since}, but shares {e.get('room') or 'its room'} with {listed(e['with'])}, "
        "not in quarantine."
    )


def ready(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell that all that was asked for is so, and that a person decides."""
    tests = "no test was asked for"
    if e["tests"]:
        counted = "1 test" if e["tests"] == 1 else f"{e['tests']} tests"
        tests = f"{counted} without findings"
    weight = ""
    if e["weight_change_pct"] is not None:
        change = f"{e['weight_change_pct']:+g}".replace("-", "−")
        weight = f", weight {change} %"
    return (
        f"Day {e['day']} of its quarantine, counted from "
        f"{numbers.day(e['clock_from'])}; {numbers.days(e['days_wanted'])} were wanted, "
        f"{tests}{weight}. It waits for a person's decision."
    )


def paper(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a paper that runs out or has run out."""
    name = f"{str(e['paper']).replace('_', ' ').capitalize()} {e['number']}"
    day, left = numbers.day(e["valid_until"]), e["days_left"]
    if left < 0:
        return f"{name} ran out on {day}, {numbers.days(-left)} ago."
    if left == 0:
        return f"{name} holds until today, {day}."
    return f"{name} runs out on {day}, in {numbers.days(left)}."


def unsure(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of an animal of which nobody knows what it is."""
    told = f"It was said to be “{e['told']}”. " if e["told"] else ""
    return (
        f"{told}Nobody who knows the species has looked since it came on "
        f"{numbers.day(e['since_on'])}, {numbers.days(e['days'])} ago."
    )


def due_back(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of an animal that was to be back."""
    stay = {"loan": "Lent out", "foster": "With a foster home"}[e["kind"]]
    return (
        f"{stay}, and due back on {numbers.day(e['due_back_on'])}, "
        f"{numbers.days(e['days_late'])} ago."
    )


def stuck(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell which gates are shut, and why."""
    gates = " ".join(why for _, why in e["shut"])
    return f"Meant to leave on {numbers.day(e['planned_on'])}, and cannot yet: {gates}"


def unheard(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a home that has not answered."""
    return (
        f"It left on {numbers.day(e['left_on'])}. The question after "
        f"{AFTER[e['follow_up']]} was due on {numbers.day(e['due_on'])}, "
        f"{numbers.days(e['days_late'])} ago, and nothing has been heard."
    )


AFTER = {
    "two_weeks": "two weeks",
    "three_months": "three months",
    "twelve_months": "twelve months",
}
REPORTED = {
    "weight": "of its weight on",
    "eggs": "of eggs that it laid on",
    "health": "that something was wrong with it on",
    "death": "that it died on",
    "note": "of how it was on",
}


def report(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell what a home wrote that nobody here has read yet."""
    return (
        f"Its home wrote on {numbers.day(e['received_on'])} {REPORTED[e['report']]} "
        f"{numbers.day(e['about_on'])}; nobody here has read it yet."
    )


TELLERS: dict[FindingKind, Teller] = {
    K.QUARANTINE_BROKEN: broken,
    K.QUARANTINE_READY: ready,
    K.PAPER_EXPIRING: paper,
    K.SPECIES_UNSURE: unsure,
    K.DUE_BACK: due_back,
    K.PLACEMENT_STUCK: stuck,
    K.HOME_UNHEARD: unheard,
    K.HOME_REPORT: report,
}
