"""What the food of one feeding is dusted with."""

from datetime import date, timedelta

from husbandry.rules.profiles.values import SupplementRule
from husbandry.rules.profiles.vocabulary import SupplementWhen

_MONTH_AT_MOST = 31


def supplements_at(
    rules: tuple[SupplementRule, ...], *, feeding_on: date, previous_on: date | None
) -> tuple[SupplementRule, ...]:
    """Return with what one feeding is dusted.

    A supplement of certain days of the month goes on the first feeding on or after
    each of them, and stands there instead of what it replaces.

    Args:
        rules: the supplements that the animal gets, in the profile's order.
        feeding_on: the day of the feeding.
        previous_on: the day of the feeding before it, which took what was due up
            to then; None: there was none, and only the day itself counts.

    Returns:
        First those of every feeding, then those of the day; each in the profile's
        order.

    Source:
        care-task-convention
    """
    due = tuple(r for r in rules if r.month_days and _falls(r, feeding_on, previous_on))
    replaced = {r.instead_of for r in due}
    always = tuple(
        r
        for r in rules
        if r.when is SupplementWhen.EVERY_FEEDING and r.id not in replaced
    )
    return always + due


def _falls(rule: SupplementRule, feeding_on: date, previous_on: date | None) -> bool:
    """Say whether one of its days lies after one feeding and not after the next."""
    days = 1 if previous_on is None else (feeding_on - previous_on).days
    for n in range(min(days, _MONTH_AT_MOST)):
        if (feeding_on - timedelta(n)).day in rule.month_days:
            return True
    return False
