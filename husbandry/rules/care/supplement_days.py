"""What the food of one feeding is dusted with."""

from collections.abc import Collection, Sequence
from datetime import date, timedelta
from functools import lru_cache

from husbandry.rules.profiles.values import SupplementRule
from husbandry.rules.profiles.vocabulary import SupplementWhen

# Longer than any month, so that the newest of some days of the month lies within.
_MONTH_AT_MOST = 31
_DAYS_KEPT = 1024


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
    return dusted_with(
        rules,
        [
            rule
            for rule in rules
            if rule.month_days and falls(rule, on=feeding_on, previous_on=previous_on)
        ],
    )


def dusted_with(
    rules: Sequence[SupplementRule], due: Collection[SupplementRule]
) -> tuple[SupplementRule, ...]:
    """Return those of every feeding that nothing replaces, then those of the day.

    Args:
        rules: of every feeding, and others, which are passed over.
        due: those of the day.
    """
    replaced = {rule.instead_of for rule in due}
    always = (
        rule
        for rule in rules
        if rule.when is SupplementWhen.EVERY_FEEDING and rule.id not in replaced
    )
    return (*always, *due)


def falls(rule: SupplementRule, *, on: date, previous_on: date | None) -> bool:
    """Say whether one of its days lies after one feeding and not after the next.

    Args:
        rule: of certain days of the month, or none.
        on: the day of a feeding.
        previous_on: the day of the feeding before it; None: only the day itself
            counts.
    """
    newest_on = newest_month_day(rule, on)
    if newest_on is None:
        return False
    return newest_on == on if previous_on is None else newest_on > previous_on


def newest_month_day(rule: SupplementRule, on: date) -> date | None:
    """Return the newest day, up to one, that is among a rule's days of the month.

    None: the rule has none.
    """
    return _newest(rule.month_days, on) if rule.month_days else None


@lru_cache(maxsize=_DAYS_KEPT)
def _newest(month_days: tuple[int, ...], on: date) -> date | None:
    days = (on - timedelta(days=n) for n in range(_MONTH_AT_MOST))
    return next((day for day in days if day.day in month_days), None)
