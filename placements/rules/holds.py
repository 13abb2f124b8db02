"""How long animals that came may not leave; local law decides."""

from dataclasses import dataclass
from datetime import date, timedelta

from core.errors import DomainError
from placements.rules.vocabulary import IntakeSource

LONGEST_DAYS = 1096
LONGEST_REASON = 200
LOCAL_LAW = (
    "Local law decides how long found, seized or surrendered animals have to be held, "
    "who has to be told, and who may claim them. No hold is set unless this house has "
    "set one."
)


class HoldError(DomainError):
    """A hold, or the end of one, cannot be as given."""

    code = "hold_refused"


@dataclass(frozen=True, slots=True)
class HoldRule:
    """How long animals of a source are held at least.

    Attributes:
        days: after the day of arrival, which does not count; 0: no hold.
        reason: which law or decision it follows.
    """

    days: int
    reason: str


@dataclass(frozen=True, slots=True)
class HoldFacts:
    """A hold that is in force on a day.

    Attributes:
        until_on: the last day on which the animal may not leave.
    """

    until_on: date
    reason: str
    source: IntakeSource


# Nothing is held unless a house says so: which animals, how long and from what day
# is local law, and a figure that is right in one country is wrong in the next.
NO_HOLD = HoldRule(days=0, reason="")


def hold_until(rule: HoldRule, *, arrived_on: date) -> date | None:
    """Return the last day on which an animal may not leave; None: it may at once.

    Args:
        rule: of its source; one day holds it through the day after it came.
        arrived_on: the local day.

    Source:
        intake-convention: the day of arrival does not count.
    """
    return arrived_on + timedelta(days=rule.days) if rule.days else None


def check_hold(*, until_on: date, arrived_on: date, reason: str) -> None:
    """Refuse a hold of one delivery that cannot be.

    Args:
        until_on: the last day on which its animals may not leave.
        arrived_on: the local day on which they came.
        reason: which law or decision it follows, up to 200 characters.

    Raises:
        HoldError: no reason, a day before they came, or one years away.

    Source:
        House rule: more than three years are taken for a slip of the hand.
    """
    check_reason(reason, field="hold_reason")
    latest = arrived_on + timedelta(days=LONGEST_DAYS)
    if not arrived_on <= until_on <= latest:
        raise HoldError(
            f"A hold until {until_on:%d %b %Y} does not fit animals that came on "
            f"{arrived_on:%d %b %Y}: give a day from then until {latest:%d %b %Y}.",
            fields={"hold_until": f"{arrived_on} to {latest}"},
        )


def check_rule(rule: HoldRule) -> None:
    """Refuse a policy on holds that cannot hold.

    Raises:
        HoldError: fewer than 0 or more than 1096 days, or no reason.

    Source:
        House rule: more than three years are taken for a slip of the hand.
    """
    if not 0 <= rule.days <= LONGEST_DAYS:
        raise HoldError(
            f"A hold of {rule.days} days cannot be: give 0 to {LONGEST_DAYS}; 0 is no "
            "hold.",
            fields={"days": f"0 to {LONGEST_DAYS}"},
        )
    if not rule.reason.strip():
        raise HoldError(
            "Say which law or decision it follows.", fields={"reason": "not blank"}
        )


def check_reason(reason: str, *, field: str) -> None:
    """Refuse a hold, or an end of one, without a word why.

    Raises:
        HoldError: it is blank, or longer than 200 characters.
    """
    if not reason.strip():
        raise HoldError(
            "Say why: which law, decision or paper it follows.",
            fields={field: "not blank"},
        )
    if len(reason.strip()) > LONGEST_REASON:
        raise HoldError(
            f"The reason has {len(reason.strip())} characters; at most "
            f"{LONGEST_REASON} are kept.",
            fields={field: f"at most {LONGEST_REASON} characters"},
        )


def check_lift(
    label: str,
    *,
    until_on: date | None,
    lifted_on: date | None,
    arrived_on: date,
    on: date,
    today: date,
) -> None:
    """Refuse to lift a hold that is not there, or on a day that cannot be.

    Args:
        label: the animal.
        until_on: the hold's last day; None: there is none.
        lifted_on: it was lifted already; None: it was not.
        arrived_on: the local day on which it came.
        on: the first day on which it may leave.
        today: the local day now.

    Raises:
        HoldError: see above.
    """
    if until_on is None:
        raise HoldError(f"{label} is not on hold; there is nothing to lift.")
    if lifted_on is not None:
        raise HoldError(
            f"The hold of {label} was lifted on {lifted_on:%d %b %Y} already."
        )
    if not arrived_on <= on <= min(today, until_on):
        raise HoldError(
            f"The hold of {label} runs from {arrived_on:%d %b %Y} until "
            f"{until_on:%d %b %Y} and cannot be lifted on {on:%d %b %Y}.",
            fields={"on": f"{arrived_on} to {min(today, until_on)}"},
        )
