"""Whether a test and its result can have been."""

from datetime import date

from core.errors import DomainError
from husbandry.rules.vocabulary import HealthTestResult

LONGEST_LABORATORY = 160


class HealthTestError(DomainError):
    """A test or its result cannot be recorded as given."""

    code = "health_test_refused"


def check_taken(
    *,
    taken_on: date,
    expected_on: date | None,
    laboratory: str,
    hatched_on: date | None,
    left_on: date | None,
    today: date,
) -> None:
    """Refuse a test that cannot have been taken.

    Args:
        taken_on: local day.
        expected_on: day by which the result should be there; None: not said.
        laboratory: who looks at it.
        hatched_on: only where it is known to the day.
        left_on: the animal's last day here, or None.
        today: the local day now.

    Raises:
        HealthTestError: it lies outside the animal's time here or is to come, its
            result is expected before it was taken, or the name is too long.
    """
    if len(laboratory) > LONGEST_LABORATORY:
        raise HealthTestError(
            f"The laboratory has {len(laboratory)} characters; at most "
            f"{LONGEST_LABORATORY} are kept.",
            fields={"laboratory": f"at most {LONGEST_LABORATORY} characters"},
        )
    if taken_on > today:
        raise _to_come("taken_on", taken_on, today)
    if hatched_on is not None and taken_on < hatched_on:
        raise HealthTestError(
            f"It hatched on {hatched_on:%d %b %Y}; nothing can have been taken on "
            f"{taken_on:%d %b %Y}.",
            fields={"taken_on": f"{hatched_on} or later"},
        )
    if left_on is not None and taken_on > left_on:
        raise HealthTestError(
            f"It left on {left_on:%d %b %Y}; nothing can have been taken here on "
            f"{taken_on:%d %b %Y}. What is found after death belongs to the necropsy.",
            fields={"taken_on": f"until {left_on}"},
        )
    if expected_on is not None and expected_on < taken_on:
        raise HealthTestError(
            f"A result cannot be expected by {expected_on:%d %b %Y}, before the test "
            f"of {taken_on:%d %b %Y}.",
            fields={"expected_on": f"{taken_on} or later"},
        )


def check_result(
    result: HealthTestResult,
    *,
    result_on: date,
    finding: str,
    taken_on: date,
    today: date,
) -> None:
    """Refuse a result that cannot be.

    Args:
        result: nothing found, or found.
        result_on: local day.
        finding: in the laboratory's words.
        taken_on: day of the test.
        today: the local day now.

    Raises:
        HealthTestError: it is no result, of a day before the test or to come, or
            something was found and nobody says what.
    """
    if result is HealthTestResult.AWAITED:
        raise HealthTestError(
            "A result that is still awaited is none: give nothing found or found.",
            fields={"result": "nothing_found or found"},
        )
    if result_on > today:
        raise _to_come("result_on", result_on, today)
    if result_on < taken_on:
        raise HealthTestError(
            f"The test was taken on {taken_on:%d %b %Y}; its result cannot be of "
            f"{result_on:%d %b %Y}.",
            fields={"result_on": f"{taken_on} or later"},
        )
    if result is HealthTestResult.FOUND and not finding:
        raise HealthTestError(
            "Say what was found, in the laboratory's or the vet's words.",
            fields={"finding": "not blank"},
        )


def check_seen(
    *, on: date, result_on: date | None, seen_on: date | None, today: date
) -> None:
    """Refuse that a vet saw a result which is not there, or saw it earlier.

    Args:
        on: local day on which a licensed vet took it over.
        result_on: day of the result; None: it is awaited.
        seen_on: day on which a vet saw it, as on record, or None.
        today: the local day now.

    Raises:
        HealthTestError: the sentence says what does not fit.
    """
    if result_on is None:
        raise HealthTestError(
            "The result is still awaited: record it first.",
            fields={"on": "once there is a result"},
        )
    if seen_on is not None:
        raise HealthTestError(
            f"A vet saw it on {seen_on:%d %b %Y} already.",
            fields={"on": "a result that no vet has seen"},
        )
    if on > today:
        raise _to_come("on", on, today)
    if on < result_on:
        raise HealthTestError(
            f"The result is of {result_on:%d %b %Y}; no vet can have seen it on "
            f"{on:%d %b %Y}.",
            fields={"on": f"{result_on} or later"},
        )


def _to_come(field: str, on: date, today: date) -> HealthTestError:
    return HealthTestError(
        f"{on:%d %b %Y} has not come yet; give today or an earlier day.",
        fields={field: f"until {today}"},
    )
