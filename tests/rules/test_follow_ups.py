"""When homes are asked, held to the calendar; what can be answered and reported."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from dateutil.rrule import MONTHLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.follow_up_answers import (
    check_answers,
    died,
    questions_for,
    worried,
)
from placements.rules.follow_ups import (
    AfterFacts,
    OpenFollowUp,
    UnseenReport,
    assess_follow_ups,
    due_days,
)
from placements.rules.home_reports import HomeReportDetails, check_report
from placements.rules.vocabulary import FollowUpKind, HomeReportKind

DAYS = st.dates(date(1990, 1, 1), date(2090, 1, 1))


# By the calendar: ISO 8601 has no 29 February 2023 and no 30 February at all.
@pytest.mark.parametrize(
    ("left_on", "due"),
    [
        (date(2026, 3, 2), (date(2026, 3, 16), date(2026, 6, 2), date(2027, 3, 2))),
        (
            date(2026, 11, 30),
            (date(2026, 12, 14), date(2027, 2, 28), date(2027, 11, 30)),
        ),
        (
            date(2027, 11, 30),
            (date(2027, 12, 14), date(2028, 2, 29), date(2028, 11, 30)),
        ),
        (date(2024, 2, 29), (date(2024, 3, 14), date(2024, 5, 29), date(2025, 2, 28))),
        (date(2026, 1, 31), (date(2026, 2, 14), date(2026, 4, 30), date(2027, 1, 31))),
        (
            date(2026, 12, 31),
            (date(2027, 1, 14), date(2027, 3, 31), date(2027, 12, 31)),
        ),
    ],
)
def test_homes_are_asked_by_the_calendar(
    left_on: date, due: tuple[date, date, date]
) -> None:
    assert due_days(left_on) == tuple(zip(FollowUpKind, due, strict=True))


@given(DAYS)
def test_where_a_month_has_the_day_it_is_that_day(left_on: date) -> None:
    _, (_, three), (_, twelve) = due_days(left_on)
    # RFC 5545 leaves out months without the day; here its last day stands in.
    months = rrule(MONTHLY, dtstart=left_on, count=13)
    known = {d.date() for d in months}

    for due, months_later in ((three, 3), (twelve, 12)):
        assert due in known or (due + timedelta(1)).day == 1
        assert (due.year * 12 + due.month) - (
            left_on.year * 12 + left_on.month
        ) == months_later
    assert left_on < three < twelve


def follow_up(days_late: int, *, placement: int = 1) -> OpenFollowUp:
    return OpenFollowUp(
        placement=placement,
        animal_code="V-1",
        kind=FollowUpKind.TWO_WEEKS,
        due_on=date(2026, 6, 30) - timedelta(days_late),
        left_on=date(2026, 1, 1),
    )


@pytest.mark.parametrize(
    ("days_late", "urgency"),
    [
        (-1, None),
        (0, None),
        (2, None),
        (3, Urgency.WATCH),
        (13, Urgency.WATCH),
        (14, Urgency.TODAY),
    ],
)
def test_silence_is_told_from_three_days_on(
    days_late: int, urgency: Urgency | None
) -> None:
    facts = AfterFacts(follow_ups=(follow_up(days_late),))

    found = list(assess_follow_ups(facts, on=date(2026, 6, 30)))

    assert [a.urgency for a in found] == ([] if urgency is None else [urgency])


@given(st.permutations([follow_up(4), follow_up(20), follow_up(9, placement=2)]))
def test_the_order_of_what_is_open_changes_nothing(rows: list[OpenFollowUp]) -> None:
    facts = AfterFacts(follow_ups=tuple(rows))

    found = list(assess_follow_ups(facts, on=date(2026, 6, 30)))

    assert [(a.detail[1], a.facts["days_late"]) for a in found] == [("1", 20), ("2", 9)]


@pytest.mark.parametrize(
    ("kind", "urgency"),
    [
        (HomeReportKind.WEIGHT, Urgency.WATCH),
        (HomeReportKind.EGGS, Urgency.WATCH),
        (HomeReportKind.NOTE, Urgency.WATCH),
        (HomeReportKind.HEALTH, Urgency.TODAY),
        (HomeReportKind.DEATH, Urgency.TODAY),
    ],
)
def test_reports_are_told_until_somebody_has_seen_them(
    kind: HomeReportKind, urgency: Urgency
) -> None:
    report = UnseenReport(7, 3, "V-1", kind, date(2026, 6, 1), date(2026, 6, 2))

    (found,) = assess_follow_ups(AfterFacts(reports=(report,)), on=date(2026, 6, 30))

    assert (found.kind, found.urgency) == (FindingKind.HOME_REPORT, urgency)
    assert found.detail == ("report", "7")
    assert found.facts == {
        "report": kind.value,
        "about_on": "2026-06-01",
        "received_on": "2026-06-02",
        "placement": 3,
        "animal_code": "V-1",
    }


def test_nothing_open_says_nothing() -> None:
    assert list(assess_follow_ups(AfterFacts(), on=date(2026, 6, 30))) == []


@pytest.mark.parametrize("kind", FollowUpKind)
def test_every_follow_up_asks_how_it_is_doing_first(kind: FollowUpKind) -> None:
    questions = questions_for(kind)

    assert [q.id for q in questions if q.required] == ["doing"]
    assert questions[0].id == "doing"
    assert len({q.id for q in questions}) == len(questions)
    assert check_answers(questions, {"doing": " well ", "told": ""}) == {
        "doing": "well"
    }


@pytest.mark.parametrize(
    ("answers", "is_worried", "has_died"),
    [
        ({}, False, False),
        ({"doing": "well", "eating": "little"}, False, False),
        ({"doing": "worried"}, True, False),
        ({"doing": "well", "eating": "no"}, True, False),
        ({"doing": "died"}, False, True),
    ],
)
def test_worry_and_death_are_heard(
    answers: dict[str, str], is_worried: bool, has_died: bool
) -> None:
    assert (worried(answers), died(answers)) == (is_worried, has_died)


@pytest.mark.parametrize(
    "told",
    [
        HomeReportDetails(HomeReportKind.EGGS, date(2026, 6, 1), eggs=1),
        HomeReportDetails(HomeReportKind.EGGS, date(2026, 6, 30), eggs=200),
        HomeReportDetails(HomeReportKind.WEIGHT, date(2026, 6, 2), Decimal("0.01")),
        HomeReportDetails(HomeReportKind.WEIGHT, date(2026, 6, 2), Decimal(100_000)),
        HomeReportDetails(HomeReportKind.DEATH, date(2026, 6, 2), note="x" * 4_000),
    ],
)
def test_what_lies_at_the_ends_can_be_reported(told: HomeReportDetails) -> None:
    kept = check_report(told, left_on=date(2026, 6, 1), today=date(2026, 6, 30))

    assert kept == told
