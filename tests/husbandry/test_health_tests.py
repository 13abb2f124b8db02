"""Tests and their results: recorded once, mended with a reason, taken over by a vet."""

from datetime import date, timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.health_tests import (
    note_seen_by_vet,
    record_test,
    record_test_result,
)
from husbandry.models import HealthTest
from husbandry.rules.health.testing import HealthTestError
from husbandry.rules.vocabulary import HealthTestKind, HealthTestResult
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    HealthTestFactory,
    ReviewRunFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
RESULT = HealthTestResult


def take(**changes: Any) -> HealthTest:
    asked: dict[str, Any] = {
        "kind": HealthTestKind.FAECAL,
        "taken_on": date(2026, 2, 20),
        "laboratory": " Laboratory Quay ",
        "expected_on": date(2026, 2, 27),
        "by": None,
        "at": NOW,
    }
    asked |= changes
    asked.setdefault("animal", StayFactory.create().animal)
    return record_test(**asked)


def say(test: HealthTest, **changes: Any) -> HealthTest:
    asked: dict[str, Any] = {
        "result": RESULT.FOUND,
        "result_on": date(2026, 2, 24),
        "finding": " Oocysts, few ",
        "by": None,
        "at": NOW,
    }
    return record_test_result(test=test, **(asked | changes))


def seen(test: HealthTest, on: date = date(2026, 2, 25)) -> HealthTest:
    return note_seen_by_vet(test=test, on=on, by=None, at=NOW)


def test_test_is_kept_once() -> None:
    keeper, animal = UserFactory.create(), StayFactory.create().animal

    test = take(animal=animal, by=keeper)
    again = take(animal=animal)
    other = take(animal=animal, kind=HealthTestKind.BLOOD)

    assert again == test != other
    test.refresh_from_db()
    assert (test.kind, test.taken_on, test.laboratory, test.expected_on) == (
        "faecal",
        date(2026, 2, 20),
        "Laboratory Quay",
        date(2026, 2, 27),
    )
    assert (test.result, test.recorded_by, test.recorded_at) == (
        "awaited",
        keeper,
        NOW,
    )
    assert [e.verb for e in AuditEntry.objects.all()] == ["record_test"] * 2


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"taken_on": TODAY + DAY}, "03 Mar 2026 has not come yet"),
        ({"taken_on": date(2024, 8, 31)}, "It hatched on 01 Sep 2024"),
        ({"expected_on": date(2026, 2, 19)}, "cannot be expected by 19 Feb 2026"),
        ({"laboratory": "x" * 161}, "has 161 characters; at most 160"),
    ],
)
def test_test_that_cannot_be_is_refused(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(HealthTestError, match=sentence) as refused:
        take(**changes)

    assert refused.value.fields
    assert not HealthTest.objects.exists()


def test_test_is_taken_while_it_is_here() -> None:
    gone = AnimalFactory.create(left=True)  # on 2 March
    yesterday = NOW + DAY

    assert take(animal=gone, taken_on=TODAY, expected_on=None, at=yesterday).pk
    with pytest.raises(HealthTestError, match="belongs to the necropsy"):
        take(animal=gone, taken_on=TODAY + DAY, expected_on=None, at=yesterday)


def test_hatch_date_known_to_the_year_refuses_nothing() -> None:
    animal = AnimalFactory.create(
        hatched_on=date(2026, 2, 25), hatched_precision="month"
    )

    assert take(animal=animal).pk


def test_result_is_kept_in_the_laboratorys_words() -> None:
    keeper = UserFactory.create()
    test = HealthTestFactory.create(animal=StayFactory.create().animal)

    found = say(test, by=keeper)
    again = say(test)

    assert found == again
    assert (found.result, found.result_on, found.finding) == (
        "found",
        date(2026, 2, 24),
        "Oocysts, few",
    )
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("record_test_result", keeper)
    assert entry.before == {"result": "awaited", "result_on": None, "finding": ""}
    assert entry.after["finding"] == "Oocysts, few"


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"result": RESULT.AWAITED}, "still awaited is none"),
        ({"finding": " "}, "Say what was found"),
        ({"result_on": TODAY + DAY}, "has not come yet"),
        ({"result_on": date(2026, 2, 19)}, "The test was taken on 20 Feb 2026"),
    ],
)
def test_result_that_cannot_be_is_refused(
    changes: dict[str, Any], sentence: str
) -> None:
    test = HealthTestFactory.create()

    with pytest.raises(HealthTestError, match=sentence) as refused:
        say(test, **changes)

    test.refresh_from_db()
    assert refused.value.fields
    assert test.result == "awaited"


def test_nothing_found_needs_no_words() -> None:
    test = HealthTestFactory.create()

    assert say(test, result=RESULT.NOTHING_FOUND, finding="").finding == ""


def test_wrong_result_is_mended_with_a_reason() -> None:
    test = say(HealthTestFactory.create())
    right = {"result": RESULT.NOTHING_FOUND, "finding": ""}

    with pytest.raises(HealthTestError, match="on record already"):
        say(test, **right)
    say(test, **right, reason="Another animal's sample.")

    test.refresh_from_db()
    assert (test.result, test.finding) == ("nothing_found", "")
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == (
        "correct_test_result",
        "Another animal's sample.",
    )
    assert entry.before["finding"] == "Oocysts, few"


@pytest.mark.parametrize("result_on", [date(2026, 2, 24), date(2026, 2, 26)])
def test_mended_result_is_still_to_be_seen_by_a_vet(result_on: date) -> None:
    """A vet who saw "nothing found" has not seen what the laboratory sent later."""
    test = seen(say(HealthTestFactory.create(), result=RESULT.NOTHING_FOUND))

    say(test, result_on=result_on, reason="The laboratory sent a second letter.")

    test.refresh_from_db()
    assert (test.result, test.result_on) == ("found", result_on)
    assert test.seen_by_vet_on is None
    entry = AuditEntry.objects.latest("pk")
    assert entry.before["seen_by_vet_on"] == "2026-02-25"
    assert entry.after["seen_by_vet_on"] is None
    assert seen(test, date(2026, 2, 27)).seen_by_vet_on == date(2026, 2, 27)


def test_vet_takes_a_result_over_once() -> None:
    test = HealthTestFactory.create()
    with pytest.raises(HealthTestError, match="still awaited"):
        seen(test)
    say(test)
    for on, sentence in (
        (date(2026, 2, 23), "The result is of 24 Feb 2026"),
        (TODAY + DAY, "has not come yet"),
    ):
        with pytest.raises(HealthTestError, match=sentence):
            seen(test, on)

    assert seen(test).seen_by_vet_on == date(2026, 2, 25)
    with pytest.raises(HealthTestError, match="saw it on 25 Feb 2026 already"):
        seen(test)
    assert AuditEntry.objects.latest("pk").verb == "note_seen_by_vet"


def test_reviews_from_the_day_of_each_step_are_stale() -> None:
    stay = StayFactory.create()
    site = stay.enclosure.room.site
    runs = {
        on: ReviewRunFactory.create(site=site, on=on)
        for on in (date(2026, 2, 19), date(2026, 2, 20), date(2026, 2, 24), TODAY)
    }

    def stale() -> list[date]:
        found = [on for on, run in runs.items() if _refreshed(run).stale_since]
        for run in runs.values():
            run.stale_since = None
            run.save()
        return found

    test = take(animal=stay.animal)
    assert stale() == [date(2026, 2, 20), date(2026, 2, 24), TODAY]
    say(test)
    assert stale() == [date(2026, 2, 24), TODAY]
    seen(test)
    assert stale() == [TODAY]


def _refreshed(run: Any) -> Any:
    run.refresh_from_db()
    return run
