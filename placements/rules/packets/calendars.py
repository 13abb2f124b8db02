"""The month sheet: on which days to feed, and what to dust the food with.

The days are those of the daily rounds (`husbandry.rules.care`), counted from the
sheet's first day.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from husbandry.rules.care.feeding_days import feeding_days
from husbandry.rules.care.supplement_days import supplements_at
from husbandry.rules.profiles.resolving import feeding_for, stage_on, supplements_for
from husbandry.rules.profiles.values import FeedingRule, Profile, SupplementRule
from placements.rules.packets.plans import CalendarDay

SHEET_DAYS = 35


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Days of the sheet in one life stage; both ends included."""

    from_on: date
    until_on: date
    feeding: FeedingRule | None
    supplements: tuple[SupplementRule, ...]


def calendar(
    profile: Profile,
    *,
    hatched_on: date | None,
    first_on: date,
    days: int = SHEET_DAYS,
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
    """
    sheet = (first_on + timedelta(days=n) for n in range(days))
    given: dict[date, tuple[str, ...]] = {}
    previous_on: date | None = None
    for stretch in _stretches(profile, hatched_on, first_on, days):
        for on in _feedings(stretch):
            dusted = supplements_at(
                stretch.supplements, feeding_on=on, previous_on=previous_on
            )
            given[on] = tuple(rule.name for rule in dusted)
            previous_on = on
    return tuple(CalendarDay(on, on in given, given.get(on, ())) for on in sheet)


def _stretches(
    profile: Profile, hatched_on: date | None, first_on: date, days: int
) -> list[_Stretch]:
    def stage_code(on: date) -> str | None:
        stage = stage_on(profile, hatched_on=hatched_on, on=on)
        return stage.code if stage else None

    sheet = (first_on + timedelta(days=n) for n in range(days))
    stretches = []
    for code, group in groupby(sheet, key=stage_code):
        within = list(group)
        stretches.append(
            _Stretch(
                from_on=within[0],
                until_on=within[-1],
                feeding=feeding_for(profile, code),
                supplements=supplements_for(profile, code),
            )
        )
    return stretches


def _feedings(stretch: _Stretch) -> tuple[date, ...]:
    if stretch.feeding is None:
        return ()
    return feeding_days(
        every_days_low=stretch.feeding.every_days_low,
        every_days_high=stretch.feeding.every_days_high,
        anchor_on=stretch.from_on,
        from_on=stretch.from_on,
        until_on=stretch.until_on,
    )
