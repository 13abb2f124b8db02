"""Whether an order about one animal's food can stand instead of its profile's rule."""

from datetime import date

from core.errors import DomainError
from husbandry.rules.overrides import LONGEST_DAYS
from husbandry.rules.vocabulary import FeedingOrderKind

LONGEST_UNIT = 40
MOST_PORTION = 1000


class FeedingOrderError(DomainError):
    """An order about food cannot be as given."""

    code = "feeding_order_refused"


def check_order_days(*, from_on: date, until_on: date, today: date) -> None:
    """Refuse days on which an order cannot hold.

    Args:
        from_on: its first local day, today or later: what was given before is on
            record as it was given.
        until_on: its last, at most 366 days in all.
        today: the local day now.

    Raises:
        FeedingOrderError: the days lie in the past, end before they begin, or are
            too many.

    Source:
        House rule: an order that nobody looks at again for a year is no order.
    """
    if from_on < today:
        raise FeedingOrderError(
            f"{from_on:%d %b %Y} is over: an order begins today or later.",
            fields={"from_on": f"{today} or later"},
        )
    days = (until_on - from_on).days + 1
    if not 1 <= days <= LONGEST_DAYS:
        raise FeedingOrderError(
            f"From {from_on:%d %b %Y} to {until_on:%d %b %Y} cannot be: an order lasts "
            f"1 to {LONGEST_DAYS} days; make another one afterwards.",
            fields={"until_on": f"{from_on} or up to {LONGEST_DAYS - 1} days later"},
        )


def check_order_amounts(
    kind: FeedingOrderKind,
    *,
    every_days: int | None,
    portion: int | None,
    unit: str,
) -> None:
    """Refuse an order that does not say how much and how often, or says too much.

    Args:
        kind: a fast has no amounts, the others need all three.
        every_days: from feeding to feeding, 1 to 366.
        portion: how much at each, 1 to 1000.
        unit: of the portion, such as insects or mL; up to 40 characters.

    Raises:
        FeedingOrderError: the sentence names what is missing or too much.

    Source:
        House rule: a larger portion is taken for a slip of the hand.
    """
    if kind is FeedingOrderKind.FAST:
        _check_fast(every_days, portion, unit)
        return
    if every_days is None or portion is None or not unit:
        raise FeedingOrderError(
            f"An order of the kind {kind} says how much of what every how many days: "
            "give the days, the portion and its unit.",
            fields={"every_days": "days", "portion": "a number", "unit": "not blank"},
        )
    if not 1 <= every_days <= LONGEST_DAYS:
        raise FeedingOrderError(
            f"Every {every_days} days cannot be: give 1 to {LONGEST_DAYS}.",
            fields={"every_days": f"1 to {LONGEST_DAYS}"},
        )
    if not 1 <= portion <= MOST_PORTION:
        raise FeedingOrderError(
            f"A portion of {portion} {unit} cannot be: give 1 to {MOST_PORTION}. If "
            "nothing is to be offered, order a fast.",
            fields={"portion": f"1 to {MOST_PORTION}"},
        )
    if len(unit) > LONGEST_UNIT:
        raise FeedingOrderError(
            f"The unit has {len(unit)} characters; at most {LONGEST_UNIT} are kept.",
            fields={"unit": f"at most {LONGEST_UNIT} characters"},
        )


def _check_fast(every_days: int | None, portion: int | None, unit: str) -> None:
    if every_days is not None or portion is not None or unit:
        raise FeedingOrderError(
            "In a fast nothing is offered: leave out the days between feedings, the "
            "portion and its unit, or choose another kind.",
            fields={"every_days": "empty", "portion": "empty", "unit": "empty"},
        )
