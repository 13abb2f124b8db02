"""On which days an animal ate what was dusted with which supplement."""

from collections.abc import Mapping
from datetime import date

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.judging import stage_code
from husbandry.rules.profiles.resolving import supplements_for
from husbandry.rules.profiles.values import SupplementRule

Given = Mapping[date, frozenset[str]]


def given_by_day(
    animal: CaredAnimal, *, from_on: date, on: date, by_hand: bool
) -> Given:
    """Return the supplements of each day on which something was eaten, in order.

    Food that was refused whole brought no supplement. Food that nobody watched counts
    as eaten.

    Args:
        animal: with its feedings, oldest first.
        from_on: first day that is asked about.
        on: the last.
        by_hand: whether assisted feedings count too.

    Returns:
        Ids of supplement rows by day; all of a day put together, empty on a day
        whose food was not dusted.
    """
    given: dict[date, set[str]] = {}
    for feeding in reversed(animal.feedings):
        if feeding.on < from_on:
            break
        if feeding.on > on or feeding.refused or (feeding.assisted and not by_hand):
            continue
        given.setdefault(feeding.on, set()).update(feeding.supplements)
    return {day: frozenset(given[day]) for day in sorted(given)}


def last_given_before(animal: CaredAnimal, supplement: str, *, on: date) -> date | None:
    """Return the newest day before a day with a supplement; as `given_by_day` has it.

    Quick, where a newer feeding than that day's is rare.
    """
    for feeding in reversed(animal.feedings):
        if (
            supplement in feeding.supplements
            and feeding.on < on
            and not feeding.refused
            and not feeding.assisted
        ):
            return feeding.on
    return None


def last_given_on(given: Given, supplement: str) -> date | None:
    """Return the newest day with a supplement, or None."""
    return max((day for day, dust in given.items() if supplement in dust), default=None)


def d3_by_day(animal: CaredAnimal, *, on: date) -> Given:
    """Return with what vitamin D3 came on the days of a calendar month, up to one.

    Args:
        animal: with its feedings, those by hand too; without a profile nobody knows
            what contains D3, and there is no such day.
        on: a day of the month; later ones are passed over.

    Returns:
        The products with D3 by day, in order; a day is there once, whatever the
        number of feedings and products.
    """
    return d3_days(animal, from_on=on.replace(day=1), on=on)


def d3_days(animal: CaredAnimal, *, from_on: date, on: date) -> Given:
    """Return with what vitamin D3 came on the days from one to another; as above."""
    products = {rule.id for rule in d3_products(animal)}
    if not products:
        return {}
    given = given_by_day(animal, from_on=from_on, on=on, by_hand=True)
    return {day: dust & products for day, dust in given.items() if dust & products}


def d3_products(animal: CaredAnimal) -> tuple[SupplementRule, ...]:
    """Return every supplement of an animal's profile that contains vitamin D3."""
    rows = animal.profile.supplements if animal.profile else ()
    return tuple(row for row in rows if row.contains_d3)


def d3_limit(animal: CaredAnimal, *, on: date) -> SupplementRule | None:
    """Return the supplement with D3 whose limit for a calendar month is the lowest.

    Args:
        animal: its life stage decides which rows hold; where none of these sets a
            limit, the other rows of the profile do.
        on: the day asked about.

    Returns:
        None where no row sets a limit.
    """
    limited = [row for row in d3_products(animal) if row.most_a_month is not None]
    suiting = {row.id for row in supplements_on(animal, on)}
    rows = [row for row in limited if row.id in suiting] or limited
    return min(rows, key=lambda row: row.most_a_month or 0, default=None)


def supplements_on(animal: CaredAnimal, on: date) -> tuple[SupplementRule, ...]:
    """Return the supplements that an animal should get on a day, by its profile."""
    if animal.profile is None:
        return ()
    return supplements_for(animal.profile, stage_code(animal, on))
