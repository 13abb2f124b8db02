"""After an animal has left: when homes are asked, what they tell, what is unheard."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.errors import DomainError
from core.events import AllDay
from core.models import AuditEntry
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.actions.follow_ups import (
    FollowUpClosedError,
    answer_follow_up,
    drop_follow_up,
    drop_open_follow_ups,
    plan_follow_ups,
)
from placements.actions.home_reports import (
    MOST_A_DAY,
    report_from_home,
    see_report,
)
from placements.models import FollowUp, HomeReport
from placements.queries.calendars import after_calendar
from placements.queries.follow_ups import after_facts
from placements.rules.follow_up_answers import AnswersError
from placements.rules.follow_ups import assess_follow_ups
from placements.rules.home_reports import HomeReportError
from placements.rules.vocabulary import (
    FollowUpKind,
    HomeReportKind,
    PlacementKind,
    PlacementState,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    EnclosureFactory,
    FollowUpFactory,
    HomeReportFactory,
    PlacementFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


def test_homes_are_asked_three_times() -> None:
    placement = PlacementFactory(handed_over=True)

    planned = plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW)

    assert [(f.kind, f.due_on) for f in planned] == [
        ("two_weeks", TODAY + timedelta(14)),
        ("three_months", date(2026, TODAY.month + 3, TODAY.day)),
        ("twelve_months", date(2027, TODAY.month, TODAY.day)),
    ]
    assert AuditEntry.objects.filter(verb="plan_follow_up").count() == 3


def test_planning_twice_asks_no_more() -> None:
    placement = PlacementFactory(handed_over=True)
    plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW)

    assert plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW) == []
    assert placement.follow_ups.count() == 3


def test_planning_costs_the_same_for_every_animal(
    django_assert_num_queries: Any,
) -> None:
    placement = PlacementFactory(handed_over=True)

    with django_assert_num_queries(5):  # known, savepoint and release, rows, audit
        plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW)


def test_nobody_is_asked_about_a_release() -> None:
    placement = PlacementFactory(
        kind=PlacementKind.RELEASE.value,
        home=None,
        release_place="the river",
        handed_over=True,
    )

    assert plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW) == []


@pytest.mark.parametrize("kind", [PlacementKind.FOSTER, PlacementKind.LOAN])
def test_homes_of_fosters_and_loans_are_asked(kind: PlacementKind) -> None:
    placement = PlacementFactory(kind=kind.value, handed_over=True)

    assert len(plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW)) == 3


def open_follow_up(**values: Any) -> FollowUp:
    return FollowUpFactory(placement=PlacementFactory(handed_over=True), **values)


def test_answers_are_kept_and_stay_out_of_the_trail() -> None:
    follow_up = open_follow_up()

    answer_follow_up(
        follow_up=follow_up,
        answers={"doing": "well", "told": "Lives with Mrs Example.", "eating": ""},
        by=None,
        at=NOW,
    )

    follow_up.refresh_from_db()
    assert follow_up.answers == {"doing": "well", "told": "Lives with Mrs Example."}
    assert follow_up.answered_at == NOW
    assert not follow_up.placement.reports.exists()
    entry = AuditEntry.objects.get(verb="answer_follow_up")
    assert "Example" not in f"{entry.before}{entry.after}{entry.reason}"


@pytest.mark.parametrize(
    ("answers", "kind"),
    [
        ({"doing": "worried", "told": "It sits low."}, HomeReportKind.HEALTH),
        ({"doing": "well", "eating": "no"}, HomeReportKind.HEALTH),
        ({"doing": "died"}, HomeReportKind.DEATH),
    ],
)
def test_what_worries_a_home_is_a_report_too(
    answers: dict[str, str], kind: HomeReportKind
) -> None:
    follow_up = open_follow_up()

    answer_follow_up(follow_up=follow_up, answers=answers, by=None, at=NOW)

    report = HomeReport.objects.get()
    assert (report.kind, report.on, report.seen_at) == (kind.value, TODAY, None)
    assert report.note


@pytest.mark.parametrize(
    ("answers", "field"),
    [
        ({}, "doing"),
        ({"doing": " "}, "doing"),
        ({"doing": "splendid"}, "doing"),
        ({"doing": "well", "age": "3"}, "age"),
        ({"doing": "well", "told": "x" * 2_001}, "told"),
        ({"doing": "well", "uvb": "no"}, "uvb"),  # not asked after two weeks
    ],
)
def test_bad_answers_are_refused_by_name(answers: dict[str, str], field: str) -> None:
    follow_up = open_follow_up()

    with pytest.raises(AnswersError) as refused:
        answer_follow_up(follow_up=follow_up, answers=answers, by=None, at=NOW)

    assert set(refused.value.fields) == {field}
    follow_up.refresh_from_db()
    assert follow_up.answered_at is None


def test_answers_are_given_once() -> None:
    follow_up = open_follow_up()
    answer_follow_up(follow_up=follow_up, answers={"doing": "well"}, by=None, at=NOW)

    with pytest.raises(FollowUpClosedError, match="answered before"):
        answer_follow_up(
            follow_up=follow_up, answers={"doing": "died"}, by=None, at=NOW
        )

    follow_up.refresh_from_db()
    assert follow_up.answers == {"doing": "well"}


def test_asking_is_dropped_with_a_reason() -> None:
    follow_up = open_follow_up()

    with pytest.raises(DomainError, match="A reason is wanted"):
        drop_follow_up(follow_up=follow_up, reason=" ", by=None, at=NOW)
    with pytest.raises(DomainError, match="has 201"):
        drop_follow_up(follow_up=follow_up, reason="x" * 201, by=None, at=NOW)
    drop_follow_up(follow_up=follow_up, reason="They moved abroad.", by=None, at=NOW)

    assert follow_up.dropped_at == NOW
    assert AuditEntry.objects.get(verb="drop_follow_up").reason == ""
    with pytest.raises(FollowUpClosedError, match="dropped before"):
        drop_follow_up(follow_up=follow_up, reason="again", by=None, at=NOW)


def test_what_is_open_is_dropped_when_the_animal_comes_back() -> None:
    placement = PlacementFactory(handed_over=True)
    first, *_ = plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW)
    answer_follow_up(follow_up=first, answers={"doing": "well"}, by=None, at=NOW)

    dropped = drop_open_follow_ups(
        placement=placement, reason="It came back.", by=None, at=NOW
    )

    assert dropped == 2
    first.refresh_from_db()
    assert first.dropped_at is None


def test_reports_are_kept_once_and_seen_once() -> None:
    placement = PlacementFactory(handed_over=True)
    told = {
        "placement": placement,
        "kind": HomeReportKind.WEIGHT,
        "on": TODAY,
        "mass_g": Decimal("98.456"),
        "by": None,
    }

    report = report_from_home(**told, at=NOW)
    again = report_from_home(**told, at=NOW + timedelta(minutes=1))

    assert report == again
    assert report.mass_g == Decimal("98.46")
    somebody, other = UserFactory(), UserFactory()
    see_report(report=report, by=somebody, at=NOW)
    see_report(report=report, by=other, at=NOW + timedelta(hours=1))
    assert (report.seen_by, report.seen_at) == (somebody, NOW)


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"kind": HomeReportKind.WEIGHT}, "mass_g"),
        ({"kind": HomeReportKind.WEIGHT, "mass_g": Decimal(0)}, "mass_g"),
        ({"kind": HomeReportKind.WEIGHT, "mass_g": Decimal("NaN")}, "mass_g"),
        ({"kind": HomeReportKind.WEIGHT, "mass_g": Decimal(100_001)}, "mass_g"),
        ({"kind": HomeReportKind.EGGS}, "eggs"),
        ({"kind": HomeReportKind.EGGS, "eggs": 0}, "eggs"),
        ({"kind": HomeReportKind.EGGS, "eggs": 201}, "eggs"),
        ({"kind": HomeReportKind.NOTE}, "note"),
        ({"kind": HomeReportKind.DEATH, "note": "  "}, "note"),
        ({"kind": HomeReportKind.NOTE, "note": "x" * 4_001}, "note"),
        (
            {"kind": HomeReportKind.NOTE, "note": "Fine.", "mass_g": Decimal(9)},
            "mass_g",
        ),
        ({"kind": HomeReportKind.NOTE, "note": "Fine.", "eggs": 3}, "eggs"),
        (
            {
                "kind": HomeReportKind.NOTE,
                "note": "Fine.",
                "on": TODAY - timedelta(days=1),
            },
            "on",
        ),
        (
            {
                "kind": HomeReportKind.NOTE,
                "note": "Fine.",
                "on": TODAY + timedelta(days=1),
            },
            "on",
        ),
    ],
)
def test_bad_reports_are_refused_by_name(told: dict[str, Any], field: str) -> None:
    placement = PlacementFactory(handed_over=True)

    with pytest.raises(HomeReportError) as refused:
        report_from_home(
            **{"placement": placement, "on": TODAY, "by": None, "at": NOW, **told}
        )

    assert set(refused.value.fields) == {field}
    assert not HomeReport.objects.exists()


def test_a_page_that_is_sent_again_and_again_is_held_back() -> None:
    placement = PlacementFactory(handed_over=True)
    HomeReportFactory.create_batch(MOST_A_DAY, placement=placement, received_at=NOW)
    told: dict[str, Any] = {
        "placement": placement,
        "kind": HomeReportKind.NOTE,
        "on": TODAY,
        "note": "Once more.",
        "at": NOW,
    }

    with pytest.raises(HomeReportError, match="20 reports came in a day"):
        report_from_home(**told, by=None)
    report_from_home(**told, by=UserFactory())

    assert placement.reports.count() == MOST_A_DAY + 1


def test_nothing_is_reported_of_an_animal_that_never_left() -> None:
    with pytest.raises(DomainError, match="it has to be handed over"):
        report_from_home(
            placement=PlacementFactory(),
            kind=HomeReportKind.NOTE,
            on=TODAY,
            note="Fine.",
            by=None,
            at=NOW,
        )


def test_night_hears_of_silence_and_of_reports() -> None:
    site = SiteFactory(code="a-first")
    placement = PlacementFactory(handed_over=True)
    follow_up = FollowUpFactory(placement=placement, due_on=TODAY + timedelta(14))
    report = HomeReportFactory(
        placement=placement, kind=HomeReportKind.HEALTH.value, received_at=NOW
    )
    due_on = follow_up.due_on

    def told(on: date) -> list[tuple[str, str]]:
        facts = after_facts(site=site, on=on)
        return [
            (a.kind.value, a.urgency.value) for a in assess_follow_ups(facts, on=on)
        ]

    reported = (FindingKind.HOME_REPORT.value, Urgency.TODAY.value)
    unheard = FindingKind.HOME_UNHEARD.value
    assert told(TODAY - timedelta(1)) == []
    assert told(TODAY) == [reported]
    assert told(due_on + timedelta(2)) == [reported]
    assert told(due_on + timedelta(3)) == [(unheard, "watch"), reported]
    assert told(due_on + timedelta(13)) == [(unheard, "watch"), reported]
    assert told(due_on + timedelta(14)) == [(unheard, "today"), reported]
    later: datetime = NOW + timedelta(days=20)
    see_report(report=report, by=UserFactory(), at=later)
    answer_follow_up(follow_up=follow_up, answers={"doing": "well"}, by=None, at=later)
    assert told(TODAY) == [reported]  # a night of before is told as it was
    assert told(due_on + timedelta(14)) == []


def test_silence_of_one_home_is_told_once_about_the_latest() -> None:
    site = SiteFactory()
    placement = PlacementFactory(handed_over=True)
    plan_follow_ups(placement=placement, on=TODAY, by=None, at=NOW)
    on = TODAY + timedelta(days=120)

    (said,) = assess_follow_ups(after_facts(site=site, on=on), on=on)

    assert said.detail == ("placement", str(placement.pk))
    assert (said.animal, said.enclosure) == (None, None)
    assert said.facts == {
        "follow_up": FollowUpKind.TWO_WEEKS.value,
        "due_on": str(TODAY + timedelta(14)),
        "days_late": 106,
        "left_on": str(TODAY),
        "placement": placement.pk,
        "animal_code": placement.animal.code,
    }


def test_nobody_asks_about_an_animal_that_came_back() -> None:
    site = SiteFactory()
    placement = PlacementFactory(
        handed_over=True,
        state=PlacementState.CAME_BACK.value,
        ended_on=TODAY + timedelta(10),
    )
    FollowUpFactory(placement=placement, due_on=TODAY + timedelta(5))

    before, after = TODAY + timedelta(9), TODAY + timedelta(10)
    assert len(after_facts(site=site, on=before).follow_ups) == 1
    assert after_facts(site=site, on=after).follow_ups == ()


def test_each_site_hears_of_the_animals_that_lived_there_last(
    django_assert_num_queries: Any,
) -> None:
    first, last = SiteFactory(code="a"), SiteFactory(code="b")
    animal = AnimalFactory()
    for site, days in ((last, 9), (first, 20)):
        StayFactory(
            animal=animal,
            enclosure=EnclosureFactory(room__site=site),
            from_at=NOW - timedelta(days=days),
            until_at=NOW - timedelta(days=days - 1),
        )
    FollowUpFactory(
        placement=PlacementFactory(handed_over=True, animal=animal), due_on=TODAY
    )
    FollowUpFactory(placement=PlacementFactory(handed_over=True), due_on=TODAY)

    with django_assert_num_queries(4):
        of_first = after_facts(site=first, on=TODAY)
        of_last = after_facts(site=last, on=TODAY)

    assert [f.animal_code for f in of_last.follow_ups] == [animal.code]
    assert len(of_first.follow_ups) == 1
    assert of_first.follow_ups[0].animal_code != animal.code


def test_calendar_says_when_to_ask_without_naming_the_home(
    django_assert_num_queries: Any,
) -> None:
    SiteFactory()
    placement = PlacementFactory(handed_over=True, home__name="Family Rare")
    ahead = FollowUpFactory(placement=placement, due_on=TODAY + timedelta(3))
    late = FollowUpFactory(
        placement=placement,
        due_on=TODAY - timedelta(2),
        kind=FollowUpKind.THREE_MONTHS.value,
    )
    FollowUpFactory(placement=PlacementFactory(handed_over=True), answered_at=NOW)
    FollowUpFactory()  # not handed over yet

    with django_assert_num_queries(2):
        events = after_calendar(at=NOW)

    code = placement.animal.code
    assert [(e.key, e.when, e.summary) for e in events] == [
        (
            f"follow-up-{late.pk}",
            AllDay(late.due_on, TODAY),
            f"Ask about {code} (overdue)",
        ),
        (
            f"follow-up-{ahead.pk}",
            AllDay(ahead.due_on, ahead.due_on),
            f"Ask about {code}",
        ),
    ]
    assert "Rare" not in str(events)
