"""Whether an agreement for one animal can stand instead of its profile."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import pairwise

from core.errors import DomainError
from husbandry.rules.vocabulary import Quantity, Zone

LONGEST_DAYS = 366
LONGEST_TOLERANCE_MINUTES = 1440
# Outside these a probe's reading is not believed either.
POSSIBLE: dict[Quantity, tuple[Decimal, Decimal]] = {
    Quantity.TEMPERATURE_C: (Decimal(-10), Decimal(60)),
    Quantity.HUMIDITY_PCT: (Decimal(0), Decimal(100)),
    Quantity.UV_INDEX: (Decimal(0), Decimal(20)),
}


class OverrideError(DomainError):
    """An agreement cannot be as given."""

    code = "override_refused"


@dataclass(frozen=True, slots=True)
class Limits:
    """A band and the limits around it, in the quantity's unit; None is open."""

    low: Decimal | None
    high: Decimal | None
    hard_low: Decimal | None
    hard_high: Decimal | None


def check_limits(quantity: Quantity, limits: Limits, *, tolerated_minutes: int) -> None:
    """Refuse limits that say nothing, cross each other, or cannot be measured.

    Args:
        quantity: what they are of.
        limits: at least one end of the band is given.
        tolerated_minutes: how long outside is put up with; 0 to 1440.

    Raises:
        OverrideError: the sentence names the limit and what would be accepted.

    Source:
        sensor-bounds (design of this project, no published figure) for what can
        be measured.
    """
    if limits.low is None and limits.high is None:
        raise OverrideError(
            "An agreement says at least a low or a high end of what is wanted.",
            fields={"low": "a number", "high": "a number"},
        )
    _check_possible(quantity, limits)
    names = ("hard_low", "low", "high", "hard_high")
    given = [(n, v) for n in names if (v := getattr(limits, n)) is not None]
    for (lower, low), (upper, high) in pairwise(given):
        if low > high:
            raise OverrideError(
                f"{lower} {low} lies above {upper} {high}: give them in the order "
                "hard low, low, high, hard high.",
                fields={lower: f"at most {high}"},
            )
    if not 0 <= tolerated_minutes <= LONGEST_TOLERANCE_MINUTES:
        raise OverrideError(
            f"{tolerated_minutes} minutes cannot be tolerated: give 0 to "
            f"{LONGEST_TOLERANCE_MINUTES}, a day.",
            fields={"tolerated_minutes": f"0 to {LONGEST_TOLERANCE_MINUTES}"},
        )


def _check_possible(quantity: Quantity, limits: Limits) -> None:
    least, most = POSSIBLE[quantity]
    for name in ("low", "high", "hard_low", "hard_high"):
        value = getattr(limits, name)
        if value is not None and not (value.is_finite() and least <= value <= most):
            raise OverrideError(
                f"{name} {value} is no {quantity.value} that can be: give {least} to "
                f"{most}.",
                fields={name: f"{least} to {most}"},
            )


def check_spell(*, zone: Zone, from_on: date, until_on: date, today: date) -> None:
    """Refuse days over which an agreement cannot hold.

    It always ends, so that somebody looks again; and it does not excuse nights
    that are past.

    Args:
        zone: the spot; eggs are no animal's.
        from_on: first local day.
        until_on: last local day.
        today: the animal's local day.

    Raises:
        OverrideError: it begins before today, ends before it begins, lasts longer
            than 366 days, or is about eggs.
    """
    if zone is Zone.EGGS:
        raise OverrideError(
            "What eggs need is not agreed for one animal; change the care profile.",
            fields={"zone": "basking, ambient or cool"},
        )
    if from_on < today:
        raise OverrideError(
            f"An agreement holds from {today:%d %b %Y} on at the earliest, not from "
            f"{from_on:%d %b %Y}: it does not excuse nights that are past.",
            fields={"from_on": f"{today} or later"},
        )
    if until_on < from_on:
        raise OverrideError(
            f"It cannot end on {until_on:%d %b %Y}, before it begins on "
            f"{from_on:%d %b %Y}.",
            fields={"until_on": f"{from_on} or later"},
        )
    days = (until_on - from_on).days + 1
    if days > LONGEST_DAYS:
        raise OverrideError(
            f"It would hold for {days} days; at most {LONGEST_DAYS} are allowed. "
            "Agree on it again then, or change the care profile.",
            fields={"until_on": f"within {LONGEST_DAYS} days"},
        )
