"""Sentences about health: what was seen and what is due, never what it means."""

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.conditions import Evidence, Teller
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, HealthTestKind

K = FindingKind
TESTS = {
    HealthTestKind.FAECAL: "Faecal test",
    HealthTestKind.BLOOD: "Blood test",
    HealthTestKind.SWAB: "Swab",
    HealthTestKind.IMAGING: "Imaging",
    HealthTestKind.OTHER: "Test",
}
NEVER_SEEN_EATING = "nobody has seen it eat on the days on record"


def food_refused(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of meals that were refused in a row."""
    ate = (
        f"ate last on {numbers.day(e['ate_on'])}" if e["ate_on"] else NEVER_SEEN_EATING
    )
    return (
        f"Refused {e['meals']} watched meals in a row, from "
        f"{numbers.day(e['since_on'])} to {numbers.day(e['last_on'])}; {ate}."
    )


def sign_seen(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a sign in its profile's words, and what it says to do."""
    seen = f"Seen since {numbers.day(e['since_on'])}"
    if e["last_on"] != e["since_on"]:
        seen = f"{seen}, last on {numbers.day(e['last_on'])}"
    note = f' ("{e["note"]}")' if e["note"] else ""
    return f"{seen}{note}: {_ended(e['text'])} {_ended(e['do'])}"


def laying_trouble(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell what is wrong about carrying or laying eggs."""
    return _LAYING[e["trouble"]](e)


def _fasting(e: Evidence) -> str:
    meals = "1 watched meal" if e["meals"] == 1 else f"{e['meals']} watched meals"
    return (
        f"Carries eggs and has refused {meals} since {numbers.day(e['since_on'])}; "
        f"{_alertness(e)}."
    )


def _weak(e: Evidence) -> str:
    return f"Carries eggs; {_alertness(e)}."


def _alertness(e: Evidence) -> str:
    if e["alertness"]:
        return f"seen {e['alertness']} on {numbers.day(e['looked_on'])}"
    if e["looked_on"]:
        return (
            "whether she is bright or weak is not known: last looked at on "
            f"{numbers.day(e['looked_on'])}"
        )
    return "whether she is bright or weak is not on record"


def _digging(e: Evidence) -> str:
    return (
        f"Seen digging on {numbers.day(e['seen_on'])}, and {e['home']} has no laying "
        "bin on record."
    )


def _stopped(e: Evidence) -> str:
    on, clock = e["stopped_at"].split(" ")
    eggs = "" if e["eggs"] is None else f" after {e['eggs']} eggs"
    return (
        f"Laying stopped{eggs} on {numbers.day(on)} at {clock}, {e['hours']:g} h "
        f"before the end of the day; {e['limit_hours']:g} h is the limit for treatment."
    )


def _long(e: Evidence) -> str:
    return (
        f"Carries eggs for {numbers.days(e['days'])} (since "
        f"{numbers.day(e['since_on'])}); {e['limit_days']:g} days are usual at most."
    )


_LAYING = {
    "gravid_fasting": _fasting,
    "gravid_weak": _weak,
    "digging_without_bin": _digging,
    "laying_stopped": _stopped,
    "gravid_long": _long,
}


def dose_missed(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of doses of which nobody recorded what became."""
    count = "1 dose" if e["missed"] == 1 else f"{e['missed']} doses"
    due = f"due {_at(e['first_due_at'])}"
    if e["last_due_at"] != e["first_due_at"]:
        due = f"{due} to {_at(e['last_due_at'])}"
    return (
        f"{count} of {e['drug']} without a record ({due}, every {e['every_hours']} h; "
        f"prescribed by {e['vet']})."
    )


def dose_unsafe(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell why no volume is computed."""
    return (
        f"No volume is computed for {e['drug']}, due {_at(e['due_at'])}. "
        f"{_ended(e['sentence'])}"
    )


def result_overdue(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a result that did not come."""
    return (
        f"{_test(e)}: its result was expected by {numbers.day(e['expected_on'])}, "
        f"{numbers.days(e['days'])} ago."
    )


def result_found(e: Evidence, units: Units) -> str:  # noqa: ARG001 - every teller takes units
    """Tell of a result in the laboratory's words."""
    return (
        f"{_test(e)}, result of {numbers.day(e['result_on'])}: "
        f"{_ended(e['finding'])} No vet has taken it over on record."
    )


def _test(e: Evidence) -> str:
    return f"{TESTS[HealthTestKind(e['test_kind'])]} of {numbers.day(e['taken_on'])}"


def _at(local: str) -> str:
    on, clock = local.split(" ")
    return f"{numbers.day(on)} {clock}"


def _ended(text: str) -> str:
    """Return a text that somebody typed, with a full stop."""
    text = text.strip()
    return text if text.endswith((".", "!", "?")) else f"{text}."


TELLERS: dict[FindingKind, Teller] = {
    K.FOOD_REFUSED: food_refused,
    K.SIGN_SEEN: sign_seen,
    K.LAYING_TROUBLE: laying_trouble,
    K.DOSE_MISSED: dose_missed,
    K.DOSE_UNSAFE: dose_unsafe,
    K.TEST_OVERDUE: result_overdue,
    K.TEST_FOUND: result_found,
}

STEPS: dict[FindingKind, tuple[str, str]] = {
    K.FOOD_REFUSED: (
        "Weigh it and check basking spot, water and droppings. If it refuses again or "
        "has lost weight, call a licensed reptile vet.",
        "Two refused meals are a convention, not a published limit "
        "[care-task-convention].",
    ),
    K.SIGN_SEEN: (
        "Do what stands with the sign, note what you see and since when, and tell it "
        "to a licensed reptile vet.",
        "A sign is what was seen, not what it means: that a vet says "
        "[common-practice].",
    ),
    K.LAYING_TROUBLE: (
        "Give her peace and a bin with moist, diggable substrate, and see whether she "
        "is bright or weak. Weak, or laying that stopped: at once; otherwise today: "
        "call a licensed reptile vet.",
        "A healthy female may fast but stays bright; laying that stopped needs "
        "treatment within 48 hours [vca-dystocia, wikivet].",
    ),
    K.DOSE_MISSED: (
        "Record what became of each dose. Never double up: before the next one, ask "
        "a licensed reptile vet.",
        "A missed dose is not made good by a larger one [care-task-convention].",
    ),
    K.DOSE_UNSAFE: (
        "Give nothing that was not computed or told. Weigh it today; if that does not "
        "settle it, ask a licensed reptile vet.",
        "A wrong weight or unit makes a dose many times too large "
        "[vet-nursing-arithmetic].",
    ),
    K.TEST_OVERDUE: (
        "Ask the laboratory today, and note its answer for a licensed reptile vet.",
        "A result that was forgotten helps nobody [care-task-convention].",
    ),
    K.TEST_FOUND: (
        "Send the result as it is, today, to a licensed reptile vet.",
        "What a result means and what is done about it, only a vet can say "
        "[care-task-convention].",
    ),
}
