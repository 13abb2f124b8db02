"""Sentences about daily care that was missed, overdone or is overdue.

Who or what it is about is put before them by the caller.
"""

from typing import Any

from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.care_steps import STEPS
from husbandry.rules.sentences.conditions import Evidence, Teller
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.sentences.tasks import LAMPS, MISTINGS, span
from husbandry.rules.vocabulary import FindingKind, LampKind, MistingTime, TaskKind

__all__ = ["STEPS", "TELLERS"]

KINDS = {
    TaskKind.FEED: "feedings",
    TaskKind.GUT_LOAD: "gut-loading",
    TaskKind.MIST: "misting",
    TaskKind.UV_CHECK: "lamps",
}


def feeding_missed(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of an animal that went without food."""
    return f"{_unfed(e)}. {_wanted(e)}; {_missed(e)}."


def supplement_missed(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a supplement that the food did not carry."""
    last = (
        f"last given on {_day(e['last_on'])}"
        if e["last_on"]
        else f"none on record since {_day(e['known_from_on'])}"
    )
    if e["when"] == SupplementWhen.EVERY_FEEDING:
        since = e["missed"] > 1
        when = (
            f"on {e['missed']} feeding days in a row, from {_day(e['due_on'])} on"
            if since
            else f"on {_day(e['due_on'])}"
        )
        return f"Fed without {_name(e)} {when}; {last}."
    return (
        f"{e['name']} was due with the first food from {_day(e['month_day_on'])} on; "
        f"{_fed(e)} without it; {last}."
    )


def too_much_d3(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of vitamin D3 on too many days of a month."""
    days = ", ".join(_day(on) for on in e["given_on"])
    return (
        f"Vitamin D3 on {numbers.days(e['times'])} of one month ({days}), "
        f"{e['most_a_month']} at most; with {' and '.join(e['products'])}."
    )


def misting_missed(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of an enclosure that stayed dry."""
    times = " and ".join(_misting(m) for m in e["missed"])
    row = e["days_in_a_row"]
    since = f", on {row} days in a row now" if row > 1 else ""
    return f"Not misted on {_day(e['due_on'])} {times}{since}; {_last_on(e)}."


def gut_load_missed(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of insects that were not fed before they are offered."""
    at = f" at {e['due_at'][-5:]}" if e["due_at"] else ""
    animals = "1 animal" if e["animals"] == 1 else f"{e['animals']} animals"
    return (
        f"{span(e['insects_low'], e['insects_high'])} {e['feeder_name'].lower()} for "
        f"{animals}, to be offered on {_day(e['feeding_on'])}, were not gut-loaded "
        f"(due {_day(e['due_on'])}{at}); {e['missed']} of {e['of']} missed since "
        f"{_day(e['counted_from_on'])}, {_last_on(e)}."
    )


def uv_check_overdue(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a lamp whose UV nobody measured."""
    wanted = numbers.every(e["every_days"], e["every_days"])
    return f"{_lamp(e)}: {_measured(e)}; a reading {wanted} is wanted."


def lamp_worn(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a lamp that has burnt for too long."""
    hours, months = e["limit_hours"], e["limit_months"]
    limits = " or ".join(
        [
            *([f"{hours} h"] if hours is not None else []),
            *([_months(months)] if months is not None else []),
        ]
    )
    measured = "" if e["lamp_kind"] == LampKind.HEAT else f"; {_measured(e)}"
    return (
        f"{_lamp(e)}: {e['burnt_hours']:.0f} h burnt since {_day(e['fitted_on'])}; "
        f"after {limits} it is spent, which was on {_day(e['due_on'])}{measured}."
    )


def follow_up_overdue(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a second look that nobody took."""
    ago = f" ({numbers.days(e['days_overdue'])} ago)" if e["days_overdue"] else ""
    return (
        f"A second look was due on {_day(e['due_on'])}{ago}. Seen on "
        f"{_day(e['seen_on'])}: {e['text'].rstrip('.')}."
    )


def care_unrecorded(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of care of which nothing is on record."""
    kinds = ", ".join(KINDS[TaskKind(kind)] for kind in e["kinds"])
    return f"Never recorded here: {kinds}. So none of it could be judged."


TELLERS: dict[FindingKind, Teller] = {
    FindingKind.FEEDING_MISSED: feeding_missed,
    FindingKind.SUPPLEMENT_MISSED: supplement_missed,
    FindingKind.TOO_MUCH_D3: too_much_d3,
    FindingKind.MISTING_MISSED: misting_missed,
    FindingKind.GUT_LOAD_MISSED: gut_load_missed,
    FindingKind.UV_CHECK_OVERDUE: uv_check_overdue,
    FindingKind.LAMP_WORN: lamp_worn,
    FindingKind.FOLLOW_UP_OVERDUE: follow_up_overdue,
    FindingKind.CARE_UNRECORDED: care_unrecorded,
}


def _unfed(e: Evidence) -> str:
    unfed = f"No food on record for {numbers.days(e['days'])}"
    fasted_on = e["fasted_until_on"]
    fast = f", since its fast ended on {_day(fasted_on)}" if fasted_on else ""
    if e["last_on"] is None:
        return f"{unfed}{fast}"
    return f"{unfed}{fast}: last fed on {_day(e['last_on'])} ({_eaten(e)})"


def _eaten(e: Evidence) -> str:
    if e["last_eaten"] is None:
        return f"{e['last_offered']} offered, nobody watched"
    return f"{e['last_eaten']} of {e['last_offered']} eaten"


def _wanted(e: Evidence) -> str:
    portion = span(e["portion_low"], e["portion_high"])
    food = f"{portion} {e['unit']}" if e["portion_high"] else "food"
    by_hand = " by hand" if e["assisted"] else ""
    agreed = f" (agreed: {e['agreed']})" if e["agreed"] else ""
    rhythm = numbers.every(e["every_days_low"], e["every_days_high"])
    return f"Wanted: {food}{by_hand} {rhythm}{agreed}"


def _missed(e: Evidence) -> str:
    at_least = "at least " if e["more_before"] else ""
    if e["missed"] == 1:
        return f"{at_least}1 feeding missed, due on {_day(e['due_on'])}"
    return (
        f"{at_least}{e['missed']} feedings missed, from {_day(e['since_on'])} to "
        f"{_day(e['due_on'])}"
    )


def _fed(e: Evidence) -> str:
    if e["missed"] == 1:
        return f"fed on {_day(e['due_on'])}"
    return f"fed on {e['missed']} days from {_day(e['due_on'])} on"


def _name(e: Evidence) -> str:
    return str(e["name"][:1].lower() + e["name"][1:])


def _misting(misting: dict[str, Any]) -> str:
    minutes = span(misting["minutes_low"], misting["minutes_high"])
    return f"{MISTINGS[MistingTime(misting['time'])]} ({minutes} min)"


def _last_on(e: Evidence) -> str:
    # Chores are looked at for some days only, so that "never" would say too much.
    return (
        f"last on {_day(e['last_on'])}" if e["last_on"] else "none in the days before"
    )


def _lamp(e: Evidence) -> str:
    kind = LAMPS[LampKind(e["lamp_kind"])]
    return names.sentence(f"{kind} {e['label']}".strip())


def _measured(e: Evidence) -> str:
    ago = numbers.days(e["days"])
    if e["last_on"] is None:
        return f"never measured since it was fitted {ago} ago"
    index = f"UV index {e['last_uv']} " if e["last_uv"] is not None else ""
    return f"last measured {ago} ago ({index}on {_day(e['last_on'])})"


def _months(months: int) -> str:
    return "1 month" if months == 1 else f"{months} months"


def _day(iso: str) -> str:
    return numbers.day(iso)
