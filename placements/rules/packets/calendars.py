"""On which days to feed in the new home, and what to dust the food with.

The days are those of the daily rounds (`husbandry.rules.care`), counted from the
first day in the new home.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from husbandry.rules.care.feeding_days import feeding_days
from husbandry.rules.care.supplement_days import dusted_with, falls
from husbandry.rules.profiles.resolving import feeding_for, stage_on, supplements_for
from husbandry.rules.profiles.values import (
    FeedingRule,
    Profile,
    Stage,
    SupplementRule,
)
from husbandry.rules.vocabulary import FeedingOrderKind
from placements.rules.packets.plans import CalendarDay
from placements.rules.packets.routines import FeedingOrderLine

SHEET_DAYS = 35


@dataclass(frozen=True, slots=True)
class FoodKnown:
    """What is on record of an animal's food that the days to come depend on.

    Attributes:
        orders: what was agreed, the latest made last.
        d3_on: local days of this calendar month and before on which it ate food
            with vitamin D3; each day once.
    """

    orders: tuple[FeedingOrderLine, ...] = ()
    d3_on: tuple[date, ...] = ()


NOTHING_KNOWN = FoodKnown()


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days on which one way of feeding holds; both ends included.

    Attributes:
        anchor_on: the day from which its rhythm is counted.
        stage: None: the age is not known.
        feeding: of the care profile; None: nothing is said.
        order: the agreement that stands in its place; None: none does.
    """

    from_on: date
    until_on: date
    anchor_on: date
    stage: Stage | None
    feeding: FeedingRule | None
    supplements: tuple[SupplementRule, ...]
    order: FeedingOrderLine | None

    @property
    def every_days(self) -> tuple[int, int] | None:
        """Return the least and the most days between feedings; None: no food."""
        if self.order is not None:
            every = self.order.every_days
            return None if every is None else (every, every)
        rule = self.feeding
        return None if rule is None else (rule.every_days_low, rule.every_days_high)

    @property
    def assisted(self) -> bool:
        """Say whether it is fed by hand, as was agreed; nothing is dusted then."""
        return self.order is not None and self.order.kind is FeedingOrderKind.ASSIST


def stretches(
    profile: Profile,
    *,
    hatched_on: date | None,
    first_on: date,
    until_on: date,
    orders: tuple[FeedingOrderLine, ...] = (),
) -> tuple[Stretch, ...]:
    """Cut the days in the new home by what decides on its food.

    Of several agreements for one day fasting wins; of the others the later begun,
    then the later made, as in the daily rounds.

    Args:
        profile: whose rows on feeding and supplements hold.
        hatched_on: whence life stages are counted; None: only rows hold that name
            no stage.
        first_on: first day in the new home.
        until_on: last day asked about; before the first there are none.
        orders: what was agreed, the latest made last.

    Returns:
        In order, without gaps. A rhythm of the profile is counted from the first
        day here on which its life stage holds, an agreed one from its own first day.

    Source:
        care-task-convention
    """
    length = (until_on - first_on).days + 1
    days = [first_on + timedelta(days=n) for n in range(length)]
    begun: dict[str | None, date] = {}
    found = []
    for (stage, order), group in groupby(
        days,
        key=lambda on: (
            stage_on(profile, hatched_on=hatched_on, on=on),
            _order_on(orders, on),
        ),
    ):
        within = list(group)
        code = stage.code if stage else None
        since_on = begun.setdefault(code, within[0])
        found.append(
            Stretch(
                from_on=within[0],
                until_on=within[-1],
                anchor_on=order.from_on if order else since_on,
                stage=stage,
                feeding=feeding_for(profile, code),
                supplements=supplements_for(profile, code),
                order=order,
            )
        )
    return tuple(found)


def calendar(
    profile: Profile,
    *,
    hatched_on: date | None,
    first_on: date,
    days: int = SHEET_DAYS,
    known: FoodKnown = NOTHING_KNOWN,
) -> tuple[CalendarDay, ...]:
    """Lay out feeding days and supplements from a day on.

    Where no food is offered on a supplement's day, the next feeding takes it. It
    is an arrangement to start from: other days as evenly spread do as well.

    Args:
        profile: whose rows on feeding and supplements hold.
        hatched_on: whence life stages are counted; None: only rows hold that name
            no stage.
        first_on: first day of the sheet; food is offered on it, and on the first day
            of each life stage after it. In a stage without a rule on feeding no
            food is laid out.
        days: length of the sheet.
        known: what was agreed goes before the profile; a month that has brought as
            much vitamin D3 as it may gets no more.

    Source:
        care-task-convention; ferguson-1996 for why more D3 is not better.
    """
    until_on = first_on + timedelta(days=days - 1)
    given: dict[date, tuple[str, ...]] = {}
    d3_on = set(known.d3_on)
    previous_on: date | None = None
    for stretch in stretches(
        profile,
        hatched_on=hatched_on,
        first_on=first_on,
        until_on=until_on,
        orders=known.orders,
    ):
        for on in _feedings(stretch):
            if stretch.assisted:
                given[on] = ()
                continue
            dusted = _dusting(stretch.supplements, on, previous_on, d3_on)
            given[on] = tuple(rule.name for rule in dusted)
            if any(rule.contains_d3 for rule in dusted):
                d3_on.add(on)
            previous_on = on
    sheet = (first_on + timedelta(days=n) for n in range(days))
    return tuple(CalendarDay(on, on in given, given.get(on, ())) for on in sheet)


def _order_on(
    orders: tuple[FeedingOrderLine, ...], on: date
) -> FeedingOrderLine | None:
    in_force = [
        (order.kind is FeedingOrderKind.FAST, order.from_on, place, order)
        for place, order in enumerate(orders)
        if order.from_on <= on <= order.until_on
    ]
    return max(in_force, key=lambda found: found[:3])[3] if in_force else None


def _feedings(stretch: Stretch) -> tuple[date, ...]:
    every_days = stretch.every_days
    if every_days is None:
        return ()
    return feeding_days(
        every_days_low=every_days[0],
        every_days_high=every_days[1],
        anchor_on=stretch.anchor_on,
        from_on=stretch.from_on,
        until_on=stretch.until_on,
    )


def _dusting(
    rules: tuple[SupplementRule, ...],
    on: date,
    previous_on: date | None,
    d3_on: set[date],
) -> tuple[SupplementRule, ...]:
    due = (
        r for r in rules if r.month_days and falls(r, on=on, previous_on=previous_on)
    )
    return dusted_with(
        tuple(_within_limits(rules, on, d3_on)),
        tuple(_within_limits(due, on, d3_on)),
    )


def _within_limits(
    rules: Iterator[SupplementRule] | tuple[SupplementRule, ...],
    on: date,
    d3_on: set[date],
) -> Iterator[SupplementRule]:
    """Yield what the month still may bring; without vitamin D3 there is no limit."""
    this_month = sum((day.year, day.month) == (on.year, on.month) for day in d3_on)
    for rule in rules:
        most = rule.most_a_month if rule.contains_d3 else None
        if most is None or this_month < most:
            yield rule
