"""The month sheet and the daily rounds name the same days for the same animal.

A sheet begins with a feeding day. The rounds count from the first day of a life stage;
where the sheet begins on a day from which the rhythm begins anew, the two agree day by
day: what is fed, and what it is dusted with.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.care.due import tasks_of_animal
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.tasks import FeedPlan
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import TaskKind
from placements.rules.packets.calendars import SHEET_DAYS, calendar
from tests.placements.test_calendars import CALCIUM, MULTI, feeding
from tests.rules.care import kept
from tests.rules.care.kept import PROFILE, ZONE, small_profile

Days = dict[date, tuple[str, ...]]


def on_the_sheet(profile: Profile, *, hatched_on: date, first_on: date) -> Days:
    found = calendar(profile, hatched_on=hatched_on, first_on=first_on)
    return {d.on: d.supplements for d in found if d.feed}


def on_the_rounds(animal: CaredAnimal, *, first_on: date) -> Days:
    tasks = tasks_of_animal(
        animal,
        lights_on=None,
        zone=ZONE,
        from_on=first_on,
        until_on=first_on + timedelta(SHEET_DAYS - 1),
    )
    return {
        task.due_on: tuple(s.name for s in task.plan.supplements)
        for task in tasks
        if task.kind is TaskKind.FEED and isinstance(task.plan, FeedPlan)
    }


@pytest.mark.parametrize(
    ("hatched_on", "first_on", "feedings"),
    [
        # A hatchling, daily; a month with both days of the multivitamin.
        (date(2026, 11, 1), date(2026, 11, 1), 35),
        (date(2026, 6, 1), date(2026, 11, 20), 35),
        # An adult from its 365th day on: 2, 3, 2, 3 days, 14 feedings in 35.
        (date(2025, 11, 15), date(2026, 11, 15), 14),
        # The same, seven times five days later.
        (date(2025, 11, 15), date(2026, 12, 20), 14),
        # Grown up on the sheet: 20 daily feedings, then 6 in 15 days by turns.
        (date(2025, 12, 5), date(2026, 11, 15), 26),
        # February, which has no 29th to 31st.
        (date(2026, 2, 1), date(2027, 2, 1), 14),
    ],
)
def test_sheet_and_rounds_agree_day_by_day(
    hatched_on: date, first_on: date, feedings: int
) -> None:
    animal = kept.animal(hatched_on=hatched_on, arrived_on=first_on)

    sheet = on_the_sheet(PROFILE, hatched_on=hatched_on, first_on=first_on)

    assert sheet == on_the_rounds(animal, first_on=first_on)
    assert len(sheet) == feedings


@given(
    first_on=st.dates(date(2020, 1, 1), date(2030, 1, 1)),
    low=st.integers(1, 5),
    more=st.integers(0, 3),
    turns=st.integers(0, 40),
)
def test_sheet_and_rounds_agree_at_any_rhythm(
    first_on: date, low: int, more: int, turns: int
) -> None:
    whole = sum(range(low, low + more + 1))
    hatched_on = first_on - timedelta(turns * whole)
    profile = small_profile(
        stages=(replace(PROFILE.stages[0], to_days=None),),
        feeding=(feeding(low, low + more),),
        supplements=(CALCIUM, MULTI),
    )
    animal = kept.animal(profile=profile, hatched_on=hatched_on, arrived_on=first_on)

    sheet = on_the_sheet(profile, hatched_on=hatched_on, first_on=first_on)
    rounds = on_the_rounds(animal, first_on=first_on)

    assert sheet == rounds
    assert first_on in sheet
