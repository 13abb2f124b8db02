"""Whether a supplement is still to be given, by what is on record of an animal's food.

Both what is planned for a feeding and what is told as missed ask here, so that
whoever does what is planned is not told of anything missed.
"""

from collections.abc import Collection
from datetime import date, timedelta

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.given_supplements import (
    d3_days,
    d3_limit,
    supplements_on,
)
from husbandry.rules.care.judging import DAY, begun_on, rhythm_on
from husbandry.rules.care.supplement_days import newest_month_day
from husbandry.rules.profiles.values import SupplementRule


def open_since(
    animal: CaredAnimal, rule: SupplementRule, *, last_on: date | None, on: date
) -> date | None:
    """Return the day of the month since which a supplement is to be given.

    Given a little early, with the feeding that stood for the one on its day, it is
    given; and so it is given late.

    Args:
        animal: its profile, its age and what was agreed of its food decide.
        rule: a supplement of its life stage.
        last_on: the newest day on which it was given, or is taken to be.
        on: the day asked about.

    Returns:
        None: it has been given since; or nothing was due, because the day of the
        month lies before the animal came, hatched or grew into its life stage.

    Source:
        care-task-convention
    """
    month_day_on = newest_month_day(rule, on)
    if month_day_on is None or month_day_on < begun_on(animal):
        return None
    if last_on is not None:
        if last_on >= month_day_on:
            return None
        rhythm = rhythm_on(animal, month_day_on)
        early = timedelta(days=rhythm[1] - 1 if rhythm else 0)
        if last_on >= month_day_on - early:
            return None
    held = any(row.id == rule.id for row in supplements_on(animal, month_day_on))
    return month_day_on if held else None


def enough_d3(
    animal: CaredAnimal,
    rule: SupplementRule,
    *,
    on: date,
    until_on: date,
    planned: Collection[date] = (),
) -> bool:
    """Say whether a calendar month has brought vitamin D3 as often as it may.

    Args:
        animal: with its feedings, those by hand too.
        rule: what would be given; without D3 nothing stands in its way.
        on: a day of the month; its life stage sets the limit.
        until_on: the last day that is counted.
        planned: days of any month on which D3 is going to be given; counted up to
            the last day, too.

    Source:
        care-task-convention; ferguson-1996 for why more is not better.
    """
    limit = d3_limit(animal, on=on) if rule.contains_d3 else None
    if limit is None or limit.most_a_month is None:
        return False
    first_on = on.replace(day=1)
    days = set(d3_days(animal, from_on=first_on, on=until_on))
    days.update(day for day in planned if first_on <= day <= until_on)
    return len(days) >= limit.most_a_month


def enough_d3_before(
    animal: CaredAnimal,
    rule: SupplementRule,
    *,
    on: date,
    planned: Collection[date] = (),
) -> bool:
    """Say whether the month of a day has brought enough vitamin D3 before that day."""
    return enough_d3(animal, rule, on=on, until_on=on - DAY, planned=planned)
