"""The month sheet, against days counted on a paper calendar."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.profiles.values import FeedingRule, Profile, SupplementRule
from husbandry.rules.profiles.vocabulary import SupplementWhen
from placements.rules.packets.calendars import calendar
from tests.rules.night.builders import INVENTED, profile

CALCIUM = SupplementRule(
    id="calcium",
    stages=(),
    name="calcium",
    when=SupplementWhen.EVERY_FEEDING,
    month_days=(),
    instead_of=None,
    text="",
    provenance=INVENTED,
)
MULTI = replace(
    CALCIUM,
    id="multi",
    name="multivitamin",
    when=SupplementWhen.MONTH_DAYS,
    month_days=(1, 15),
    instead_of="calcium",
)
FIRST = date(2026, 3, 20)


def feeding(low: int, high: int, *stages: str) -> FeedingRule:
    name = "-".join(("feeding", *stages))
    return FeedingRule(name, stages, low, high, 3, 4, "insects", "", INVENTED)


def fed(
    found: Profile, *, first: date = FIRST, hatched_on: date | None = None
) -> dict[date, tuple[str, ...]]:
    sheet = calendar(found, hatched_on=hatched_on, first_on=first)
    return {d.on: d.supplements for d in sheet if d.feed}


def sheet(
    low: int, high: int, *dustings: SupplementRule, first: date = FIRST
) -> dict[date, tuple[str, ...]]:
    found = profile(feeding=(feeding(low, high),), supplements=dustings)
    return fed(found, first=first)


def test_sheet_has_five_weeks() -> None:
    found = calendar(profile(), hatched_on=None, first_on=FIRST)

    assert [d.on for d in found] == [FIRST + timedelta(days=n) for n in range(35)]
    assert not any(d.feed for d in found)


def test_daily_feeding_with_two_days_of_multivitamin() -> None:
    found = sheet(1, 1, CALCIUM, MULTI)

    assert len(found) == 35
    assert {on for on, s in found.items() if s == ("multivitamin",)} == {
        date(2026, 4, 1),
        date(2026, 4, 15),
    }
    assert set(found.values()) == {("calcium",), ("multivitamin",)}


@pytest.mark.parametrize(
    ("low", "high", "days"),
    [
        (1, 1, [20, 21, 22, 23, 24, 25]),
        (2, 2, [20, 22, 24, 26, 28, 30]),
        (2, 3, [20, 22, 25, 27, 30]),
        (3, 3, [20, 23, 26, 29]),
    ],
)
def test_rhythm(low: int, high: int, days: list[int]) -> None:
    march = [on.day for on in sheet(low, high) if on.month == 3]

    assert march[: len(days)] == days


def test_day_without_food_hands_its_supplement_to_the_next_feeding() -> None:
    # Every other day from 21 March: 31 March, 2 April; the 1st goes without food.
    found = sheet(2, 2, CALCIUM, MULTI, first=date(2026, 3, 21))

    assert date(2026, 4, 1) not in found
    assert found[date(2026, 4, 2)] == ("multivitamin",)
    assert found[date(2026, 4, 16)] == ("multivitamin",)
    assert sum(s == ("multivitamin",) for s in found.values()) == 2


def test_what_was_due_before_the_sheet_is_not_on_it() -> None:
    found = sheet(1, 1, CALCIUM, MULTI, first=date(2026, 4, 2))

    assert found[date(2026, 4, 2)] == ("calcium",)


def test_supplement_that_replaces_nothing_is_added() -> None:
    extra = replace(MULTI, id="a", name="vitamin A", month_days=(5,), instead_of=None)
    found = sheet(1, 1, CALCIUM, extra)

    assert found[date(2026, 4, 5)] == ("calcium", "vitamin A")


def test_feeding_changes_with_the_life_stage() -> None:
    turn = date(2026, 4, 1)
    hatched_on = turn - timedelta(days=100)
    stages = profile().stages
    young = replace(stages[0], code="young", to_days=100)
    old = replace(stages[0], code="old", from_days=100)
    found = profile(
        stages=(young, old), feeding=(feeding(1, 1, "young"), feeding(2, 2, "old"))
    )

    days = list(fed(found, hatched_on=hatched_on))

    assert days[:13] == [FIRST + timedelta(days=n) for n in range(13)]
    assert days[13:16] == [date(2026, 4, 3), date(2026, 4, 5), date(2026, 4, 7)]


def test_rows_of_a_stage_do_not_hold_where_the_age_is_not_known() -> None:
    found = profile(feeding=(feeding(1, 1, "grown"),))

    assert fed(found) == {}
    assert len(fed(found, hatched_on=date(2025, 1, 1))) == 35


@given(
    st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(1, 4), st.integers(0, 3)
)
def test_every_feeding_is_dusted_and_nothing_else_is(
    first: date, low: int, more: int
) -> None:
    found = profile(feeding=(feeding(low, low + more),), supplements=(CALCIUM, MULTI))

    days = calendar(found, hatched_on=None, first_on=first)

    assert days[0].feed
    assert all(bool(d.supplements) is d.feed for d in days)
    assert sum(d.supplements == ("multivitamin",) for d in days) <= 3
