"""How the numbers of findings about breeding read in their table: a data table.

What a finding's sentence says in full, and keys of rows, are in `UNSAID`.
"""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from core.units import from_kelvin_difference
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.breeding import BASES
from husbandry.rules.sentences.names import listed
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, Quantity
from staff.care_evidence import Lines, plain
from staff.units import day

K = FindingKind
REASONS = {
    "no_probe": "no probe measures there",
    "gap": "the probes were silent",
    "nowhere": "the box stands in no incubator",
    "second_look": "a second person's look is asked for",
    "disagree": "two looks disagree",
    "one_sided": "a spur at one heel only",
    "unclear": "not clear to be seen",
}


def _day(value: str, units: Units) -> str:  # noqa: ARG001 - every reader takes both
    return day(date.fromisoformat(value))


def _days(value: int, units: Units) -> str:  # noqa: ARG001 - as above
    return numbers.days(value)


def _shifted(value: float, units: Units) -> str:  # noqa: ARG001 - as above
    return f"{value:g} days of development"


def _hours(value: float, units: Units) -> str:  # noqa: ARG001 - as above
    return f"{value:g} h"


def _celsius(value: float, units: Units) -> str:
    return numbers.value(value, Quantity.TEMPERATURE_C, units)


def _depth(value: float, units: Units) -> str:
    unit = units.temperature
    shown = from_kelvin_difference(Decimal(str(value)), unit)
    return f"{shown:.1f} °{unit.value} × h"


def _duration(value: float, units: Units) -> str:  # noqa: ARG001 - as above
    return numbers.duration(value)


def _names(value: list[str], units: Units) -> str:  # noqa: ARG001 - as above
    return listed(value)


def _reason(value: str, units: Units) -> str:  # noqa: ARG001 - as above
    return REASONS[value]


def _rests_on(value: str, units: Units) -> str:  # noqa: ARG001 - as above
    return BASES[value]


def _share(value: float, units: Units) -> str:  # noqa: ARG001 - as above
    return f"{100 * float(value):.0f} % of clutches"


def _gaps(value: list[Mapping[str, Any]], units: Units) -> str:
    return "; ".join(_gap(gap, units) for gap in value)


def _gap(gap: Mapping[str, Any], units: Units) -> str:
    ends = [_moment(gap[key]) if gap[key] else "–" for key in ("from", "until")]
    known = [
        _celsius(gap[key], units) if gap[key] is not None else "–"
        for key in ("before_c", "after_c")
    ]
    return f"{ends[0]} to {ends[1]} ({known[0]} before, {known[1]} after)"


def _moment(local: str) -> str:
    at = datetime.fromisoformat(local)
    return f"{day(at.date())}, {at:%H:%M}"


def _looks(value: list[Mapping[str, Any]], units: Units) -> str:
    return "; ".join(
        f"{_day(look['on'], units)} {look['by'] or '–'}: left {look['left']}, right "
        f"{look['right']}"
        for look in value
    )


_EGGS: Lines = {
    "boxes": ("Boxes", _names),
    "eggs": ("Eggs", plain),
    "plan": ("Kept by", plain),
    "phase": ("Phase", plain),
    "period": ("Part of the day", plain),
    "probe": ("Probe", plain),
    "remark": ("Note", plain),
}
_MEASURED: Lines = {
    "mean": ("Mean, weighted by time", _celsius),
    "covered_s": ("Measured", _duration),
    "expected_s": ("Of a whole", _duration),
}
_HATCHING: Lines = {
    "eggs": ("Eggs left", plain),
    "pipped": ("Of them pipped", plain),
    "hatched": ("Of the clutch hatched", plain),
    "day": ("Days since laying", plain),
    "earliest_on": ("Window from", _day),
    "likely_on": ("Most likely about", _day),
    "latest_on": ("Window until", _day),
    "coverage": ("Meant to hold for", _share),
    "rests_on": ("Told", _rests_on),
    "past": ("From earlier clutches", plain),
}

LINES: dict[FindingKind, Lines] = {
    K.EGGS_TOO_WARM: {
        **_EGGS,
        "high": ("Wanted at most", _celsius),
        "hard_high": ("Limit past which to act at once", _celsius),
        "highest": ("Highest", _celsius),
        "above_s": ("Above the band, in all", _duration),
        "longest_s": ("Longest at a stretch", _duration),
        "past_hard_s": ("Past the limit, in all", _duration),
        "degree_hours": ("How far × how long", _depth),
        **_MEASURED,
    },
    K.EGGS_TOO_COOL: {
        **_EGGS,
        "low": ("Wanted at least", _celsius),
        "hard_low": ("Limit past which to act at once", _celsius),
        "lowest": ("Lowest", _celsius),
        "below_s": ("Below the band, in all", _duration),
        "longest_s": ("Longest at a stretch", _duration),
        "past_hard_s": ("Past the limit, in all", _duration),
        "degree_hours": ("How far × how long", _depth),
        "lost_days": ("Set back by about", _shifted),
        "zero_c": ("Development stands still at", _celsius),
        **_MEASURED,
    },
    K.EGGS_UNMEASURED: {
        **_EGGS,
        "probes": ("Probes", _names),
        "why": ("Why", _reason),
        "hours": ("Not measured, in all", _hours),
        "gaps": ("When", _gaps),
    },
    K.EGGS_UNPLACED: {"clutch": ("Clutch", plain), "eggs": ("Eggs", plain)},
    K.BOX_UNCHECKED: {
        "box": ("Box", plain),
        "clutches": ("Clutches", _names),
        "checked_on": ("Last looked into on", _day),
        "days": ("Days since", plain),
        "limit_days": ("To be looked into at least every", _days),
    },
    K.HATCH_DUE: _HATCHING,
    K.HATCH_OVERDUE: _HATCHING,
    K.LAYING_OVERDUE: {
        "mated_on": ("Put together on", _day),
        "sire": ("With", plain),
        "days": ("Days since", plain),
        "window_from": ("Laying expected from", _day),
        "window_until": ("Laying expected until", _day),
    },
    K.SPUR_LOOK_DUE: {
        "why": ("Why", _reason),
        "looks": ("Looks at its heels", _looks),
        "days": ("Open for", _days),
    },
}
# Told by the line that says whom it is about, or by the sentence.
UNSAID = frozenset({"clutch", "box", "past_hard"})
