"""Sentences about weights, housing and what keeps an animal from being judged."""

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.conditions import Evidence
from husbandry.rules.sentences.numbers import Units


def loss(e: Evidence, units: Units) -> str:
    """Tell of lost weight, by numbers that can be checked on paper."""
    shed = ""
    if e.get("shed_on"):
        shed = (
            f" It shed on {numbers.day(e['shed_on'])}: an animal that sheds may fast "
            "and lose a little."
        )
    return (
        f"{_from_to(e, units)} ({numbers.percent(e['change_pct'])}); "
        f"{e['limit_pct']:g} % within {numbers.days(e['window_days'])} is the limit."
        f"{shed}"
    )


def stalled(e: Evidence, units: Units) -> str:
    """Tell of a young animal that stopped growing."""
    slope_g = e["slope_g_per_day"] * 7
    sign = "" if slope_g < 0 else "+"
    return (
        f"{_from_to(e, units)} over {e['weighings']} weighings: a "
        f"{e['stage'].lower()} that does not gain ({sign}"
        f"{numbers.mass(f'{slope_g:.4f}', units)} a week)."
    )


def _from_to(e: Evidence, units: Units) -> str:
    return (
        f"{numbers.mass(e['from_g'], units)} → {numbers.mass(e['to_g'], units)} in "
        f"{numbers.days(e['days'])}"
    )


def out_of_band(e: Evidence, units: Units) -> str:
    """Tell of a weight outside what is plausible."""
    return (
        f"{numbers.mass(e['mass_g'], units)} on {numbers.day(e['on'])} is {e['side']} the usual "
        f"{numbers.mass(e['low_g'], units)} to {numbers.mass(e['high_g'], units)}."
    )


def overdue(e: Evidence, units: Units) -> str:
    """Tell of a weighing that is due."""
    wanted = f"a weighing every {numbers.days(e['every_days'])} is wanted"
    if e["last_on"] is None:
        return (
            f"Never weighed since it came on {numbers.day(e['arrived_on'])}; {wanted}."
        )
    return (
        f"Last weighed {numbers.days(e['days'])} ago "
        f"({numbers.mass(e['last_g'], units)} on {numbers.day(e['last_on'])}); {wanted}."
    )


def no_enclosure(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes both
    """Tell of an animal that is nowhere on record."""
    return "In care, but in no enclosure on record at the end of the day."


def too_small(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell which dimension falls short of which rule."""
    short = ", ".join(
        f"{f['dimension']} {f['is_cm']:g} cm where {f['min_cm']:g} cm is wanted"
        for f in e["failed"]
    )
    return f"Its enclosure is too small: {short} (rule {e['rule']})."


def no_laying_bin(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a female without a place to dig."""
    state = "A gravid female" if e["gravid"] else "An adult female"
    return f"{state} without a place to dig and lay."


def shared(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of animals that should not live together."""
    allowed = (
        "it should live alone"
        if e["allowed"] == 1
        else f"a group of {e['allowed']} is the most"
    )
    return f"Shares its enclosure with {', '.join(e['with'])}; {allowed}."


def in_sight(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of neighbours that see each other."""
    seen = ", ".join(f"{s['animal']} ({s['enclosure']})" for s in e["seen"])
    return f"Has others of its kind in sight: {seen}."


def light_hours(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of days that are too short or too long."""
    return (
        f"Lights burn {e['light_h']:g} h a day; {e['hours_low']:g} to "
        f"{e['hours_high']:g} h are wanted."
    )


def no_profile(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes both
    """Tell of a species without targets."""
    return "Its species has no care profile, so nothing could be compared."


def stage_unknown(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes both
    """Tell of an animal without an age."""
    return "Its age is not known, so no target of a life stage could be chosen."


def not_reviewed(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of an animal whose review stopped."""
    return f"Its own review stopped with an error: {e['error']}."
