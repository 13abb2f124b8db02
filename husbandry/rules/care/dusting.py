"""With what the feedings of one animal are to be dusted, one after the other."""

from dataclasses import dataclass
from datetime import date

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.feeding_findings import INTERVALS_NOW
from husbandry.rules.care.given_supplements import last_given_before
from husbandry.rules.care.judging import DAY, last_fast_on
from husbandry.rules.care.stage_rules import StageRules
from husbandry.rules.care.supplement_days import dusted_with, falls
from husbandry.rules.care.supplement_dues import enough_d3_before, open_since
from husbandry.rules.profiles.values import SupplementRule


@dataclass(frozen=True, slots=True)
class Meal:
    """One feeding that is planned.

    Attributes:
        on: the day on which it is eaten, as far as one can tell.
        begins_on: the first day on which it may be eaten; that day itself, but for
            one that is to come soon and may be given early.
        previous_on: the day of the feeding before it that could be dusted.
        most_days: from one feeding to the next, at most.
        to_come: nothing on record stands for it, and it can still be given.
    """

    on: date
    begins_on: date
    previous_on: date
    most_days: int
    to_come: bool


class Dusting:
    """What is planned for an animal's feedings, in order; to come: taken to be done.

    So a supplement that is due stands on the first feeding to come, and on the next
    only if the record shows that it was left off there, or the food refused.
    """

    def __init__(self, animal: CaredAnimal) -> None:
        self._animal = animal
        rows = animal.profile.supplements if animal.profile else ()
        self._with_d3 = frozenset(row.id for row in rows if row.contains_d3)
        self._planned: dict[date, frozenset[str]] = {}
        self._told = False

    def plan(self, rules: StageRules, meal: Meal) -> tuple[SupplementRule, ...]:
        """Return with what a feeding is to be dusted.

        A supplement of certain days of the month goes on the first feeding on or
        after its day, and where the record shows that it was not given since, on
        the next, until its next day. None with vitamin D3 goes on food in a month
        that has brought, or is going to bring, as much as it may.

        Args:
            rules: of the animal's life stage on the day.
            meal: later than those planned before it.

        Source:
            care-task-convention
        """
        if not self._planned:
            self._told = self._is_told(meal)
        always = [r for r in rules.supplements if not r.month_days]
        due = [r for r in rules.supplements if r.month_days and self._due(r, meal)]
        given = dusted_with(
            [rule for rule in always if not self._too_much(rule, meal)],
            [rule for rule in due if not self._too_much(rule, meal)],
        )
        if meal.to_come:
            self._planned[meal.on] = frozenset(rule.id for rule in given)
        return given

    def _due(self, rule: SupplementRule, meal: Meal) -> bool:
        planned = (on for on, dust in self._planned.items() if rule.id in dust)
        last_on = max(
            planned, default=last_given_before(self._animal, rule.id, on=meal.on)
        )
        if open_since(self._animal, rule, last_on=last_on, on=meal.on) is None:
            return False
        return self._told or falls(rule, on=meal.on, previous_on=meal.previous_on)

    def _too_much(self, rule: SupplementRule, meal: Meal) -> bool:
        """Say whether a month in which it may be eaten has brought enough D3."""
        if not rule.contains_d3:
            return False
        planned = [on for on, dust in self._planned.items() if dust & self._with_d3]
        return any(
            enough_d3_before(self._animal, rule, on=on, planned=planned)
            for on in (meal.on, meal.begins_on)
        )

    def _is_told(self, meal: Meal) -> bool:
        """Say whether somebody records what it eats.

        Where nobody does, a supplement would be asked for without end; it is then
        planned once, by the calendar. One feeding may have been passed over; once so
        many intervals have gone by that it cannot wait, nobody knows.
        """
        fed_on = (f.on for f in reversed(self._animal.feedings) if f.on < meal.on)
        known_on = max(
            next(fed_on, date.min),
            last_fast_on(self._animal, meal.on - DAY) or date.min,
        )
        return (meal.on - known_on).days < INTERVALS_NOW * meal.most_days
