"""Supplements that were left out, and vitamin D3 that was given too often."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.given_supplements import (
    Given,
    d3_by_day,
    d3_limit,
    d3_products,
    given_by_day,
    last_given_before,
    last_given_on,
    supplements_on,
)
from husbandry.rules.care.judging import CONVENTION, begun_on, stage_code
from husbandry.rules.care.supplement_dues import enough_d3, enough_d3_before, open_since
from husbandry.rules.profiles.values import SupplementRule
from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.vocabulary import FindingKind, Urgency


def supplements_missed(
    animal: CaredAnimal, *, known_from: date, on: date
) -> Iterator[Assessment]:
    """Say which supplements an animal's food should have carried and did not.

    One of every feeding: the newest feeding that should have carried it did not. One
    of certain days of the month: food was eaten on or after its day, none since then
    carried it, and its next day has not come. Given a little early, with the feeding
    that stood for the one on its day, it counts. Where a calendar month has brought
    vitamin D3 as often as it may, none is called missed.

    Args:
        animal: with its feedings. Food given by hand is passed over: what goes into
            it is its vet's to say.
        known_from: first day of which the site's feedings are known.
        on: the day, at its end.

    Yields:
        At most one for each supplement; nothing for an animal whose life stage is
        not known.

    Source:
        care-task-convention; common-practice for the days.
    """
    if stage_code(animal, on) is None:
        return
    given = given_by_day(animal, from_on=date.min, on=on, by_hand=False)
    judged_from = max(begun_on(animal), known_from)
    for rule in supplements_on(animal, on):
        if rule.when is SupplementWhen.EVERY_FEEDING:
            found = _left_out(animal, rule, given, judged_from)
        else:
            found = _day_passed(animal, rule, given, judged_from, on)
        if found:
            last_on = last_given_on(given, rule.id)
            yield Assessment(
                kind=FindingKind.SUPPLEMENT_MISSED,
                urgency=Urgency.WATCH,
                facts={
                    "supplement": rule.id,
                    "name": rule.name,
                    "when": rule.when.value,
                    "contains_d3": rule.contains_d3,
                    **found,
                    "last_on": last_on.isoformat() if last_on else None,
                    "known_from_on": judged_from.isoformat(),
                    "convention": CONVENTION,
                },
                rule_id=rule.id,
                provenance=rule.provenance,
                detail=(rule.id,),
                animal=animal.id,
            )


def too_much_d3(animal: CaredAnimal, *, on: date) -> Assessment | None:
    """Say that a calendar month brought vitamin D3 on more days than it may.

    Every product of the profile that contains D3 counts, those of other life stages
    and food given by hand too; one day counts once.

    Args:
        animal: its life stage need not be known.
        on: the day, at its end; the month is its own.

    Returns:
        None at the limit or below it, and where the profile sets none.

    Source:
        care-task-convention; ferguson-1996 for why more is not better.
    """
    rule = d3_limit(animal, on=on)
    given = d3_by_day(animal, on=on)
    if rule is None or rule.most_a_month is None or len(given) <= rule.most_a_month:
        return None
    month = frozenset[str]().union(*given.values())
    return Assessment(
        kind=FindingKind.TOO_MUCH_D3,
        urgency=Urgency.TODAY,
        facts={
            "month": f"{on:%Y-%m}",
            "given_on": [day.isoformat() for day in given],
            "times": len(given),
            "most_a_month": rule.most_a_month,
            "products": [p.name for p in d3_products(animal) if p.id in month],
            "last_on": max(given).isoformat(),
            "convention": CONVENTION,
        },
        rule_id=rule.id,
        provenance=rule.provenance,
        animal=animal.id,
    )


def _left_out(
    animal: CaredAnimal, rule: SupplementRule, given: Given, judged_from: date
) -> dict[str, Any]:
    """Return what tells of feedings without a supplement of every feeding."""
    missed: list[date] = []
    for day in reversed([d for d in given if d >= judged_from]):
        if rule.id in given[day]:
            break
        if enough_d3_before(animal, rule, on=day):
            continue
        if not _replaced(animal, rule, given, day):
            missed.append(day)
    if not missed:
        return {}
    return {
        "month_day_on": None,
        "due_on": missed[-1].isoformat(),
        "newest_on": missed[0].isoformat(),
        "missed": len(missed),
    }


def _replaced(
    animal: CaredAnimal, rule: SupplementRule, given: Given, day: date
) -> bool:
    """Say whether another supplement stood, or should have stood, in its place."""
    for other in supplements_on(animal, day):
        if other.instead_of != rule.id or not other.month_days:
            continue
        if other.id in given[day]:
            return True
        last_on = last_given_before(animal, other.id, on=day)
        if open_since(animal, other, last_on=last_on, on=day) is not None:
            return not enough_d3_before(animal, other, on=day)
    return False


def _day_passed(
    animal: CaredAnimal,
    rule: SupplementRule,
    given: Given,
    judged_from: date,
    on: date,
) -> dict[str, Any]:
    """Return what tells of a day of the month that passed without its supplement."""
    last_on = last_given_on(given, rule.id)
    month_day_on = open_since(animal, rule, last_on=last_on, on=on)
    if month_day_on is None or month_day_on < judged_from:
        return {}
    fed_on = [day for day in given if day >= month_day_on]
    if not fed_on or enough_d3(animal, rule, on=on, until_on=on):
        return {}
    return {
        "month_day_on": month_day_on.isoformat(),
        "due_on": fed_on[0].isoformat(),
        "newest_on": fed_on[-1].isoformat(),
        "missed": len(fed_on),
    }
