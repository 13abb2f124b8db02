"""How the numbers of findings about care, health and growth read in their table.

A data table: for each kind the lines in their order. What a finding's sentence says
in full, and keys of rows, are in `UNSAID`.
"""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, TaskKind
from staff.units import day

K = FindingKind
Read = Callable[[Any, Units], str]
Line = tuple[str, Read]
Lines = dict[str, Line]

TASKS = {
    TaskKind.FEED: "feeding",
    TaskKind.GUT_LOAD: "gut-loading",
    TaskKind.MIST: "misting",
    TaskKind.UV_CHECK: "lamps and their UV",
}


def plain(value: Any, units: Units) -> str:  # noqa: ARG001 - every reader takes both
    """Return a word or a number as it is; codes in words."""
    return str(value).replace("_", " ")


def _day(value: str, units: Units) -> str:  # noqa: ARG001 - as above
    return day(date.fromisoformat(value))


def _moment(value: str, units: Units) -> str:  # noqa: ARG001 - as above
    at = datetime.fromisoformat(value)
    return f"{day(at.date())}, {at:%H:%M}"


def _days(value: int, units: Units) -> str:  # noqa: ARG001 - as above
    return numbers.days(value)


def _mass(value: str, units: Units) -> str:
    return numbers.mass(value, units)


def _gain(value: float, units: Units) -> str:
    sign = "+" if value > 0 else ""
    return f"{sign}{numbers.mass(f'{value:.4f}', units)} a day"


def _yes(value: bool, units: Units) -> str:  # noqa: ARG001, FBT001 - as above
    return "yes" if value else "no"


def _after(unit: str) -> Read:
    def read(value: Any, units: Units) -> str:  # noqa: ARG001 - as above
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        return f"{shown} {unit}"

    return read


def _all_days(value: list[str], units: Units) -> str:
    return ", ".join(_day(on, units) for on in value)


def _names(value: list[str], units: Units) -> str:  # noqa: ARG001 - as above
    return ", ".join(value)


def _kinds(value: list[str], units: Units) -> str:  # noqa: ARG001 - as above
    return ", ".join(TASKS[TaskKind(kind)] for kind in value)


def _mistings(value: list[Mapping[str, Any]], units: Units) -> str:
    return "; ".join(
        f"{plain(m['time'], units)}, {m['minutes_low']}–{m['minutes_high']} min"
        for m in value
    )


def _mates(value: list[Mapping[str, Any]], units: Units) -> str:
    return "; ".join(
        f"{m['animal']} {numbers.mass(m['mass_g'], units)} at "
        f"{numbers.days(m['age_days'])}"
        for m in value
    )


def _deviations(value: float, units: Units) -> str:  # noqa: ARG001 - as above
    return f"{value:+g} deviations".replace("-", "−")


_DUE: Lines = {"due_on": ("Due on", _day)}
_LAST: Lines = {"last_on": ("Last on", _day)}
_LAMP: Lines = {
    "lamp_kind": ("Lamp", plain),
    "label": ("Written on it", plain),
    "fitted_on": ("Fitted on", _day),
    **_DUE,
    "days_overdue": ("Overdue for", _days),
    "last_on": ("Last measured on", _day),
    "last_uv": ("UV index then", plain),
    "days": ("Days since it was measured or fitted", _days),
    "every_days": ("To be measured every", _days),
    "burnt_hours": ("Burnt", _after("h")),
    "limit_hours": ("Spent after", _after("h")),
    "limit_months": ("Spent after", _after("months")),
}
_MEALS: Lines = {
    "meals": ("Watched meals refused in a row", plain),
    "since_on": ("From", _day),
    "last_on": ("Until", _day),
    "offered": ("Offered at the last of them", plain),
    "ate_on": ("Last seen to eat on", _day),
    "alertness": ("Seen", plain),
    "looked_on": ("Looked at on", _day),
}
_MEDICINE: Lines = {
    "drug": ("Medicine", plain),
    "vet": ("Prescribed by", plain),
    "missed": ("Doses without a record", plain),
    "first_due_at": ("The first was due", _moment),
    "last_due_at": ("The last was due", _moment),
    "every_hours": ("To be given every", _after("h")),
    "due_at": ("Due", _moment),
}
_TEST: Lines = {
    "test_kind": ("Test", plain),
    "taken_on": ("Taken on", _day),
    "expected_on": ("Result expected by", _day),
    "result_on": ("Result of", _day),
    "days": ("Overdue for", _days),
    "finding": ("What was found", plain),
}

LINES: dict[FindingKind, Lines] = {
    K.GROWTH_BEHIND: {
        "mass_g": ("It weighs", _mass),
        "on": ("Weighed on", _day),
        "age_days": ("At an age of", _days),
        "mates": ("Clutch-mates compared with", plain),
        "median_g": ("Their median", _mass),
        "scaled_mad_g": ("One deviation among them", _mass),
        "score": ("It lies", _deviations),
        "limit_mads": ("Behind from", lambda v, u: _deviations(-v, u)),
        "rank": ("Place by weight", plain),
        "within_days": ("Same age means within", _days),
        "z": ("z-score", plain),
        "centile": ("Centile", plain),
        "limit_z": ("Behind from a z-score of", plain),
        "gain_g_per_day": ("Its own gain", _gain),
        "gain_low": ("Its own gain, at least", _gain),
        "gain_high": ("Its own gain, at most", _gain),
        "gain_days": ("Looked back", _days),
        "gain_weighings": ("Weighings counted", plain),
        "weighed_mates": ("The mates", _mates),
    },
    K.FEEDING_MISSED: {
        **_DUE,
        "since_on": ("First one missed was due on", _day),
        "missed": ("Feedings missed", plain),
        "days": ("Days without food on record", plain),
        "fasted_until_on": ("Its fast ended on", _day),
        "last_on": ("Last fed on", _day),
        "last_offered": ("Offered then", plain),
        "last_eaten": ("Eaten then", plain),
        "every_days_low": ("To be fed every, at least", _days),
        "every_days_high": ("To be fed every, at most", _days),
        "portion_low": ("Portion from", plain),
        "portion_high": ("Portion up to", plain),
        "unit": ("Portion of", plain),
        "agreed": ("Agreed for this animal", plain),
    },
    K.FOOD_REFUSED: _MEALS,
    K.SUPPLEMENT_MISSED: {
        "name": ("Supplement", plain),
        "month_day_on": ("Its day of the month", _day),
        "due_on": ("First fed without it on", _day),
        "newest_on": ("Last fed without it on", _day),
        "missed": ("Feeding days without it", plain),
        "last_on": ("Last given on", _day),
        "known_from_on": ("Feedings on record from", _day),
        "contains_d3": ("Contains vitamin D3", _yes),
    },
    K.TOO_MUCH_D3: {
        "given_on": ("Days with vitamin D3", _all_days),
        "times": ("Days in that month", plain),
        "most_a_month": ("At most", plain),
        "products": ("With", _names),
        "last_on": ("The last on", _day),
    },
    K.GUT_LOAD_MISSED: {
        "feeder_name": ("Insects", plain),
        "insects_low": ("From", plain),
        "insects_high": ("Up to", plain),
        "animals": ("For animals", plain),
        **_DUE,
        "due_at": ("Due", _moment),
        "feeding_on": ("To be offered on", _day),
        "missed": ("Missed", plain),
        "of": ("Of", plain),
        "counted_from_on": ("Counted from", _day),
        **_LAST,
        "last_same_on": ("Last with these insects on", _day),
    },
    K.MISTING_MISSED: {
        **_DUE,
        "missed": ("Not misted", _mistings),
        "due": ("Mistings that day", plain),
        "days_in_a_row": ("Days in a row", plain),
        "since_on": ("Since", _day),
        **_LAST,
    },
    K.UV_CHECK_OVERDUE: _LAMP,
    K.LAMP_WORN: _LAMP,
    K.FOLLOW_UP_OVERDUE: {
        "seen_on": ("Seen on", _day),
        "text": ("What was seen", plain),
        "due_on": ("To be looked at again on", _day),
        "days_overdue": ("Overdue for", _days),
        "last_on": ("Anything noted last on", _day),
    },
    K.CARE_UNRECORDED: {
        "kinds": ("Never recorded", _kinds),
        "on": ("As of", _day),
        "animals": ("Animals in care", plain),
    },
    K.SIGN_SEEN: {
        "text": ("What was seen", plain),
        "since_on": ("First seen on", _day),
        "last_on": ("Last seen on", _day),
        "times": ("Times it was noted", plain),
        "note": ("Note", plain),
    },
    K.LAYING_TROUBLE: {
        **_MEALS,
        "trouble": ("What", plain),
        "since_on": ("Since", _day),
        "seen_on": ("Seen on", _day),
        "home": ("Enclosure", plain),
        "note": ("Note", plain),
        "stopped_at": ("Stopped", _moment),
        "hours": ("Hours since, by the end of the day", plain),
        "limit_hours": ("To be treated within", _after("h")),
        "eggs": ("Eggs so far", plain),
        "days": ("Days", plain),
        "limit_days": ("Usual, at most", _after("days")),
    },
    K.DOSE_MISSED: _MEDICINE,
    K.DOSE_UNSAFE: _MEDICINE,
    K.TEST_OVERDUE: _TEST,
    K.TEST_FOUND: _TEST,
}
UNSAID = frozenset(
    {
        # Keys of rows, and whose convention it is, which the lines below say.
        *("convention", "policy", "source", "lamp", "observation", "prescription"),
        *("test", "feeder", "supplement", "sign", "reference", "by", "limit_row"),
        # Said by the sentence itself.
        *("do", "sentence", "code", "when", "month", "assisted", "more_before"),
        *("unfed_from_on", "last_feeder", "unlikely"),
    }
)
