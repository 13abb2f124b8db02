"""What is asked of lists by days, by numbers, and by who put what on record when."""

from datetime import date, timedelta
from typing import Any

from tests.factories import NOW, TODAY, UserFactory

A_DAY_AGO, YESTERDAY = NOW - timedelta(days=1), TODAY - timedelta(days=1)
RECORDED = (
    *("weighings", "feedings", "observations", "measurings", "chores", "lamp-checks"),
    *("doses", "egg-checks", "box-checks", "introductions", "spur-checks", "clutches"),
    *("exams", "health-tests", "deaths", "prescriptions", "papers", "arrivals"),
)
# Of each list: the column, and the names of what asks for its first and last value.
SPANS = (
    ("stays", "from_at", "from_at", "until_at"),
    ("packet-jobs", "asked_at", "from_at", "until_at"),
    ("packets", "made_at", "from_at", "until_at"),
    ("applications", "received_at", "from_at", "until_at"),
    ("home-reports", "received_at", "from_at", "until_at"),
    ("pairings", "planned_on", "planned_from", "planned_until"),
    ("placements", "planned_on", "planned_from", "planned_until"),
    ("quarantines", "began_on", "began_from", "began_until"),
    ("lamps", "fitted_on", "fitted_from", "fitted_until"),
    ("readiness-reviews", "on", "from_on", "until_on"),
)

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    *((address, "recorded_from", NOW.isoformat(), "a") for address in RECORDED),
    *((address, "recorded_by", "hand-b", "b") for address in RECORDED),
    *(
        (address, first, (NOW if column[-2:] == "at" else TODAY).isoformat(), "a")
        for address, column, first, _ in SPANS
    ),
    *(
        (address, last, (NOW if column[-2:] == "at" else YESTERDAY).isoformat(), "b")
        for address, column, _, last in SPANS
    ),
    ("clutches", "pairing", "{pairings}", "a"),
    ("exams", "intake", "{intakes}", "a"),
    ("egg-checks", "egg", "{eggs}", "a"),
    ("hatchlings", "egg", "{eggs}", "a"),
    ("hatchlings", "hatched_from", "2025-01-02", "a"),
    ("hatchlings", "hatched_until", "2025-01-01", "b"),
    ("forecasts", "from_on", "2026-03-01", "a"),
    ("forecasts", "until_on", "2026-02-01", "b"),
    ("intakes", "arrival", "{arrivals}", "a"),
    ("intake-photos", "intake", "{intakes}", "a"),
    ("findings", "probe", "a", "a"),
    ("findings", "opened_from", str(TODAY), "a"),
    ("findings", "seen_from", str(TODAY), "a"),
    ("quarantines", "open", "true", "a"),
    ("follow-ups", "from_on", str(TODAY + timedelta(1)), "b"),
    ("placements", "home", "{homes}", "a"),
    ("arrivals", "home", "{homes}", "a"),
    ("register-entries", "home", "{homes}", "a"),
    ("register-entries", "arrival", "{arrivals}", "a"),
    ("register-entries", "placement", "{placements_of_b}", "b"),
    ("register-entries", "entered_from", NOW.isoformat(), "a"),
]


def tell_apart(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Give the rows of both sides what these filters ask; the rest is there."""
    for address in RECORDED:
        # What was made along with the two rows is older than both.
        type(a[address]).objects.update(recorded_at=A_DAY_AGO - timedelta(days=9))
    for side, name, at in ((a, "hand-a", NOW), (b, "hand-b", A_DAY_AGO)):
        by = UserFactory(username=name)
        for address in RECORDED:
            _set(side[address], recorded_by=by, recorded_at=at)
        for address, column, _, _ in SPANS:
            _set(side[address], **{column: at if column[-2:] == "at" else at.date()})
        _set(side["clutches"], pairing=side["pairings"])
        _set(side["exams"], intake=side["intakes"])
        _set(side["hatchlings"], egg=side["eggs"])
        _set(side["hatchlings"].animal, hatched_on=date(2025, 1, 2 if side is a else 1))
        _set(side["findings"], probe=side["probes"])


def _set(row: Any, **values: Any) -> None:
    type(row).objects.filter(pk=row.pk).update(**values)
