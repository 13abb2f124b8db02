"""How the numbers of findings about newcomers, papers and homes read: a data table."""

from datetime import date

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.names import listed
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.sentences.rescue import AFTER
from husbandry.rules.vocabulary import FindingKind
from staff.care_evidence import Lines, plain
from staff.units import day

K = FindingKind


def _day(value: str, units: Units) -> str:  # noqa: ARG001 - every reader takes both
    return day(date.fromisoformat(value))


def _days(value: int, units: Units) -> str:  # noqa: ARG001 - as above
    return numbers.days(value)


def _names(value: list[str], units: Units) -> str:  # noqa: ARG001 - as above
    return listed(value)


def _gates(value: list[list[str]], units: Units) -> str:
    return "; ".join(f"{plain(gate, units)}: {why}" for gate, why in value)


def _change(value: float, units: Units) -> str:  # noqa: ARG001 - as above
    return f"{value:+g} %".replace("-", "−")


def _asked(value: str, units: Units) -> str:  # noqa: ARG001 - as above
    return f"{AFTER[value]} after it left"


LINES: dict[FindingKind, Lines] = {
    K.QUARANTINE_BROKEN: {
        "began_on": ("In quarantine since", _day),
        "day": ("Day", plain),
        "with": ("Together with", _names),
    },
    K.QUARANTINE_READY: {
        "began_on": ("In quarantine since", _day),
        "clock_from": ("Counted from", _day),
        "day": ("Day", plain),
        "days_wanted": ("Days wanted", plain),
        "tests": ("Tests without findings wanted", plain),
        "weight_change_pct": ("Change of weight", _change),
    },
    K.PAPER_EXPIRING: {
        "paper": ("Paper", plain),
        "number": ("Number", plain),
        "valid_until": ("Holds until", _day),
        "days_left": ("Days left", plain),
    },
    K.SPECIES_UNSURE: {
        "told": ("Said to be", plain),
        "since_on": ("Here since", _day),
        "days": ("Days since", plain),
    },
    K.DUE_BACK: {
        "kind": ("Away as", plain),
        "due_back_on": ("Due back on", _day),
        "days_late": ("Days late", plain),
    },
    K.PLACEMENT_STUCK: {
        "kind": ("Placement", plain),
        "planned_on": ("Meant to leave on", _day),
        "shut": ("Shut gates", _gates),
    },
    K.HOME_UNHEARD: {
        "follow_up": ("Question", _asked),
        "left_on": ("Left on", _day),
        "due_on": ("Due on", _day),
        "days_late": ("Days late", plain),
    },
    K.HOME_REPORT: {
        "report": ("Report of", plain),
        "about_on": ("About", _day),
        "received_on": ("Received on", _day),
    },
}
# Told by the sentence, or the key of a row.
UNSAID = frozenset({"why", "placement", "animal_code", "species"})
