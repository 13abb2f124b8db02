"""The first twelve months in the new home, against common practice and a calendar.

Common practice for the veiled chameleon, no source: a multivitamin with D3 twice a
month in place of plain calcium; daily insects to eight or nine months, every other day
to twelve, then three or four every two to three days; two weeks without handling.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from dateutil.rrule import DAILY, MONTHLY, rrule
from django.conf import settings
from hypothesis import given
from hypothesis import settings as tried
from hypothesis import strategies as st

from husbandry.rules.care.due import tasks_of_animal
from husbandry.rules.care.lamp_tasks import lamp_tasks
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.vocabulary import (
    FeedingOrderKind,
    LampKind,
    Reproduction,
    Sex,
    TaskKind,
)
from placements.rules.packets.calendars import NOTHING_KNOWN, FoodKnown, calendar
from placements.rules.packets.needs import Needs
from placements.rules.packets.routines import (
    FeedingOrderLine,
    LampDay,
    LampWork,
    MonthPlan,
    StageBegin,
)
from placements.rules.packets.years import calendar_months, plan_months
from tests.rules.care import kept

SHIPPED = settings.BASE_DIR / "husbandry" / "profiles" / "veiled_chameleon.yaml"
PROFILE = read_profile(Path(SHIPPED).read_text(encoding="utf-8"), name=SHIPPED.name)
CALCIUM, MULTI = (rule.name for rule in PROFILE.supplements)
LEAVES_ON = date(2026, 3, 20)
A_DAY = timedelta(days=1)


def needs(hatched_on: date | None) -> Needs:
    return Needs(Sex.FEMALE, hatched_on, Reproduction.RESTING, ())


def months(
    hatched_on: date | None,
    first_on: date = LEAVES_ON,
    known: FoodKnown = NOTHING_KNOWN,
) -> tuple[MonthPlan, ...]:
    return plan_months(
        PROFILE, needs(hatched_on), first_on=first_on, about=False, known=known
    )


def multivitamin(found: tuple[MonthPlan, ...]) -> list[date]:
    return [on for m in found for s in m.supplements if s.name == MULTI for on in s.on]


def midnight(on: date) -> datetime:
    return datetime(on.year, on.month, on.day)  # noqa: DTZ001 - days, not instants


def all_feedings(found: tuple[MonthPlan, ...]) -> list[date]:
    return [on for month in found for on in month.feed_on]


def test_months_cover_twelve_months_without_a_gap() -> None:
    found = months(date(2025, 9, 1))

    assert (found[0].from_on, found[-1].until_on) == (LEAVES_ON, date(2027, 3, 19))
    assert len(found) == 13
    for before, after in pairwise(found):
        assert after.from_on == before.until_on + A_DAY
        assert after.from_on.day == 1


@pytest.mark.parametrize(
    ("first_on", "last_on"),
    [
        # By ISO 8601 and the calendar: a month without such a day ends with its last.
        (date(2026, 1, 1), date(2026, 12, 31)),
        (date(2026, 8, 31), date(2027, 8, 30)),
        (date(2024, 2, 29), date(2025, 2, 27)),
        (date(2027, 3, 1), date(2028, 2, 29)),
    ],
)
def test_last_day_is_the_one_before_the_same_day_of_next_year(
    first_on: date, last_on: date
) -> None:
    found = months(date(2022, 1, 1), first_on)

    assert (found[0].from_on, found[-1].until_on) == (first_on, last_on)


def test_months_of_a_leap_february_by_hand() -> None:
    assert list(calendar_months(date(2024, 1, 31), date(2024, 3, 1))) == [
        (date(2024, 1, 31), date(2024, 1, 31)),
        (date(2024, 2, 1), date(2024, 2, 29)),
        (date(2024, 3, 1), date(2024, 3, 1)),
    ]


@tried(max_examples=40)
@given(
    first_on=st.dates(date(2024, 1, 1), date(2030, 12, 31)),
    age_days=st.integers(0, 900),
)
def test_whole_months_bring_the_multivitamin_twice_and_never_more(
    first_on: date, age_days: int
) -> None:
    found = months(first_on - timedelta(days=age_days), first_on)

    assert len(found) >= 12
    for month in found:
        (line,) = month.supplements
        assert (line.name, line.instead_of) == (MULTI, CALCIUM)
        whole = month is not found[0] and month is not found[-1]
        assert len(line.on) == 2 if whole else len(line.on) <= 2
        assert set(line.on) <= set(month.feed_on)
        assert month.every_feeding == ((CALCIUM,) if month.feed_on else ())


def test_multivitamin_falls_on_the_1st_and_15th_of_a_daily_feeder() -> None:
    # By RFC 5545, read by dateutil: FREQ=MONTHLY;BYMONTHDAY=1,15.
    start = date(2026, 3, 20)
    found = [on for on in multivitamin(months(start, start)) if on < date(2026, 12, 1)]

    rule = rrule(
        MONTHLY,
        bymonthday=(1, 15),
        dtstart=midnight(start),
        until=midnight(date(2026, 11, 30)),
    )
    assert found == [at.date() for at in rule]


def test_food_tapers_with_age() -> None:
    # Hatched on 1 September 2025: 270 days on 29 May, 365 on 1 September 2026.
    found = months(date(2025, 9, 1))

    spells = [s for month in found for s in month.feeding]
    assert [(s.stage, s.from_on, s.every_days_low, s.every_days_high) for s in spells][
        :4
    ] == [
        ("Juvenile", date(2026, 3, 20), 1, 1),
        ("Juvenile", date(2026, 4, 1), 1, 1),
        ("Juvenile", date(2026, 5, 1), 1, 1),
        ("Subadult", date(2026, 5, 29), 2, 2),
    ]
    assert {(s.portion_low, s.portion_high) for s in spells if s.stage == "Adult"} == {
        (3, 4)
    }
    assert {
        (s.portion_low, s.portion_high) for s in spells if s.stage == "Juvenile"
    } == {(10, 15)}
    days = all_feedings(found)
    gaps = {b - a for a, b in pairwise(days) if a >= date(2026, 9, 1)}
    assert gaps == {timedelta(days=2), timedelta(days=3)}


def test_stages_begin_on_days_counted_by_hand() -> None:
    found = months(date(2025, 9, 1))

    assert [b for month in found for b in month.begins] == [
        StageBegin(date(2026, 5, 29), "Subadult", about=False),
        StageBegin(date(2026, 9, 1), "Adult", about=False),
    ]


def test_stage_that_is_counted_from_a_month_is_said_to_be_about() -> None:
    found = plan_months(
        PROFILE,
        needs(date(2025, 9, 1)),
        first_on=LEAVES_ON,
        about=True,
        known=NOTHING_KNOWN,
    )

    assert [b.about for month in found for b in month.begins] == [True, True]


def test_unknown_age_begins_no_stage_and_feeds_nothing_it_does_not_know() -> None:
    found = months(None)

    assert [b for month in found for b in month.begins] == []
    assert all_feedings(found) == []
    assert all(month.stages == () for month in found)


def test_nothing_is_weighed_while_it_settles_in() -> None:
    weighed = [on for month in months(date(2024, 1, 1)) for on in month.weigh_on]

    # Two weeks from 20 March end on 2 April; an adult is weighed every 14 days.
    assert weighed[:3] == [date(2026, 4, 3), date(2026, 4, 17), date(2026, 5, 1)]
    assert weighed == [
        at.date()
        for at in rrule(
            DAILY,
            interval=14,
            dtstart=midnight(date(2026, 4, 3)),
            until=midnight(date(2027, 3, 19)),
        )
    ]


@pytest.mark.parametrize(
    ("hatched_on", "first_on"),
    [
        # Days from which a rhythm begins anew, so that the rounds count alike.
        (date(2026, 3, 20), date(2026, 3, 20)),
        (date(2025, 3, 20), date(2026, 3, 20)),
        (date(2025, 6, 23), date(2026, 3, 20)),
    ],
)
def test_year_and_daily_rounds_name_the_same_days(
    hatched_on: date, first_on: date
) -> None:
    animal = kept.animal(profile=PROFILE, hatched_on=hatched_on, arrived_on=first_on)
    found = months(hatched_on, first_on)
    until_on = found[-1].until_on

    tasks = tasks_of_animal(
        animal, lights_on=None, zone=kept.ZONE, from_on=first_on, until_on=until_on
    )

    assert all_feedings(found) == [t.due_on for t in tasks if t.kind is TaskKind.FEED]
    settled = first_on + timedelta(days=0 if hatched_on == first_on else 14)
    assert [on for m in found for on in m.weigh_on] == [
        t.due_on for t in tasks if t.kind is TaskKind.WEIGH and t.due_on >= settled
    ]


def lamps(first_on: date) -> list[LampDay]:
    return [day for month in months(date(2024, 1, 1), first_on) for day in month.lamps]


def test_lamps_are_replaced_after_six_calendar_months() -> None:
    replaced = [d.on for d in lamps(LEAVES_ON) if d.work is LampWork.REPLACE]

    assert replaced == [date(2026, 9, 20)]
    # From 31 August six months end on the last of February, then on 28 August.
    replaced = [d.on for d in lamps(date(2026, 8, 31)) if d.work is LampWork.REPLACE]
    assert replaced == [date(2027, 2, 28), date(2027, 8, 28)]


def test_lamps_and_daily_rounds_name_the_same_days() -> None:
    """The rounds ask again four weeks after each reading; each is done on its day."""
    first_on, until_on = LEAVES_ON, date(2027, 3, 19)
    asked: list[LampDay] = []
    tube = kept.lamp(fitted_on=first_on, burnt_hours=0.0)
    for on in kept.days(first_on, until_on):
        tasks = lamp_tasks(
            kept.enclosure(tube), PROFILE, counted_on=first_on, from_on=on, until_on=on
        )
        for kind in sorted({t.kind for t in tasks if t.done_on is None}):
            if kind is TaskKind.LAMP_CHANGE:
                asked = [day for day in asked if day.on != on]
                asked.append(LampDay(on, LampWork.REPLACE, LampKind.UVB_TUBE))
                tube = kept.lamp(fitted_on=on, burnt_hours=0.0)
                break
            asked.append(LampDay(on, LampWork.MEASURE, LampKind.UVB_TUBE))
            tube = replace(tube, checked_on=(*tube.checked_on, on))

    assert lamps(first_on) == asked
    assert len(asked) == 13


def order(
    kind: FeedingOrderKind, from_on: date, until_on: date, every_days: int | None
) -> FeedingOrderLine:
    portion = None if every_days is None else 2
    unit = "" if every_days is None else "insects"
    return FeedingOrderLine(kind, from_on, until_on, every_days, portion, unit, "why")


def on_the_sheet(hatched_on: date, *orders: FeedingOrderLine) -> dict[date, bool]:
    """Days with food, and whether it is dusted."""
    found = calendar(
        PROFILE,
        hatched_on=hatched_on,
        first_on=LEAVES_ON,
        known=FoodKnown(orders=orders),
    )
    return {day.on: bool(day.supplements) for day in found if day.feed}


def test_fast_that_was_agreed_is_kept() -> None:
    fast = order(FeedingOrderKind.FAST, date(2026, 3, 1), date(2026, 3, 22), None)

    found = on_the_sheet(date(2026, 1, 1), fast)

    assert min(found) == date(2026, 3, 23)
    assert len(found) == 35 - 3


def test_feeding_by_hand_is_not_dusted_and_fasting_goes_before_it() -> None:
    by_hand = order(FeedingOrderKind.ASSIST, date(2026, 3, 18), date(2026, 3, 30), 3)
    fast = order(FeedingOrderKind.FAST, date(2026, 3, 24), date(2026, 3, 24), None)

    found = on_the_sheet(date(2026, 1, 1), by_hand, fast)

    # Every third day from the 18th: 21, (24 fasts), 27, 30; then daily from the 31st.
    march = {on.day: dusted for on, dusted in found.items() if on.month == 3}
    assert march == {21: False, 27: False, 30: False, 31: True}


def test_of_two_rhythms_the_later_begun_holds() -> None:
    first = order(FeedingOrderKind.RHYTHM, date(2026, 3, 10), date(2026, 4, 30), 5)
    later = order(FeedingOrderKind.RHYTHM, date(2026, 3, 20), date(2026, 3, 29), 3)

    found = on_the_sheet(date(2024, 1, 1), later, first)

    # Every third day from the 20th, then every fifth from the 10th: 30, 4, 9, …
    assert sorted(found) == [
        *(date(2026, 3, day) for day in (20, 23, 26, 29, 30)),
        *(date(2026, 4, day) for day in (4, 9, 14, 19)),
    ]


@pytest.mark.parametrize(
    ("kind", "every_days"),
    [
        (FeedingOrderKind.FAST, None),
        (FeedingOrderKind.ASSIST, 2),
        (FeedingOrderKind.RHYTHM, 4),
    ],
)
def test_agreed_days_are_those_of_the_daily_rounds(
    kind: FeedingOrderKind, every_days: int | None
) -> None:
    from_on, until_on = date(2026, 3, 25), date(2026, 4, 9)
    hatched_on = LEAVES_ON - timedelta(days=365)
    agreed = kept.order(kind, from_on, until_on, every_days)
    animal = kept.animal(
        profile=PROFILE, hatched_on=hatched_on, arrived_on=LEAVES_ON, orders=(agreed,)
    )

    found = on_the_sheet(hatched_on, order(kind, from_on, until_on, every_days))

    rounds = tasks_of_animal(
        animal,
        lights_on=None,
        zone=kept.ZONE,
        from_on=LEAVES_ON,
        until_on=LEAVES_ON + timedelta(days=34),
    )
    assert sorted(found) == [t.due_on for t in rounds if t.kind is TaskKind.FEED]


def test_agreed_way_of_feeding_is_told_in_its_month() -> None:
    by_hand = order(FeedingOrderKind.ASSIST, date(2026, 3, 18), date(2026, 3, 30), 3)

    march = months(date(2024, 1, 1), known=FoodKnown(orders=(by_hand,)))[0]

    assert [
        (s.from_on, s.until_on, s.portion_high, s.agreed) for s in march.feeding
    ] == [
        (LEAVES_ON, date(2026, 3, 30), 2, FeedingOrderKind.ASSIST),
        (date(2026, 3, 31), date(2026, 3, 31), 4, None),
    ]


def test_month_that_brought_its_d3_gets_no_more() -> None:
    """Given on the 1st, and a day early on the 14th: the 15th brings calcium."""
    first_on = date(2026, 4, 15)
    known = FoodKnown(d3_on=(date(2026, 4, 1), date(2026, 4, 14)))

    without = multivitamin(months(date(2026, 1, 1), first_on))
    found = multivitamin(months(date(2026, 1, 1), first_on, known))

    assert without[:2] == [date(2026, 4, 15), date(2026, 5, 1)]
    assert found[:2] == [date(2026, 5, 1), date(2026, 5, 15)]
    sheet = calendar(
        PROFILE, hatched_on=date(2026, 1, 1), first_on=first_on, known=known
    )
    assert sheet[0].supplements == (CALCIUM,)


def test_d3_of_the_month_before_stands_in_nobodys_way() -> None:
    known = FoodKnown(d3_on=(date(2026, 3, 1), date(2026, 3, 15), date(2026, 3, 16)))

    found = multivitamin(months(date(2026, 1, 1), date(2026, 4, 1), known))

    assert found[:2] == [date(2026, 4, 1), date(2026, 4, 15)]
