"""Holds: by policy, set for one delivery, lifted for one animal."""

from datetime import date, timedelta

import pytest

from core.models import AuditEntry
from placements.actions.holds import lift_hold, set_hold, set_hold_policy
from placements.models import Intake
from placements.queries.holds import hold_of, hold_rules
from placements.rules.holds import NO_HOLD, HoldError, HoldFacts, HoldRule
from placements.rules.vocabulary import IntakeSource
from tests.factories import (
    NOW,
    TODAY,
    ArrivalFactory,
    HoldPolicyFactory,
    IntakeFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
UNTIL = TODAY + 14 * DAY


def held(**said: object) -> Intake:
    """An animal that came today and is held for a fortnight."""
    asked = {
        "arrival__site__time_zone": "UTC",
        "arrival__source": IntakeSource.STRAY.value,
        "arrival__hold_until": UNTIL,
        "arrival__hold_reason": "local law on found animals",
        "animal__name": "",
    } | said
    return IntakeFactory.create(**asked)


def test_the_newest_policy_of_a_source_holds() -> None:
    HoldPolicyFactory.create(days=14, made_at=NOW - 2 * DAY)

    policy = set_hold_policy(
        source=IntakeSource.STRAY,
        days=7,
        reason=" local law, as of this year ",
        by=UserFactory.create(),
        at=NOW,
    )

    rules = hold_rules()
    assert rules[IntakeSource.STRAY] == HoldRule(7, "local law, as of this year")
    assert rules[IntakeSource.SEIZURE] == NO_HOLD
    assert set(rules) == set(IntakeSource)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.after) == (
        "set_hold_policy",
        {"source": "stray", "days": 7},
    )
    assert entry.subject_id == str(policy.pk)


def test_a_policy_that_cannot_be_is_not_kept() -> None:
    with pytest.raises(HoldError):
        set_hold_policy(
            source=IntakeSource.STRAY, days=9999, reason="x", by=None, at=NOW
        )

    assert hold_rules()[IntakeSource.STRAY] == NO_HOLD


@pytest.mark.parametrize(
    ("on", "is_held"),
    [
        (TODAY - DAY, False),
        (TODAY, True),
        (UNTIL, True),
        (UNTIL + DAY, False),
    ],
)
def test_a_hold_is_in_force_through_its_last_day(on: date, is_held: bool) -> None:
    intake = held()
    free = IntakeFactory.create()

    found = hold_of(animal_ids=[intake.animal_id, free.animal_id], on=on)

    facts = HoldFacts(UNTIL, "local law on found animals", IntakeSource.STRAY)
    assert found == ({intake.animal_id: facts} if is_held else {})
    assert hold_of(animal_ids=[], on=on) == {}


def test_the_longest_of_two_holds_counts() -> None:
    first = held()
    longer = ArrivalFactory.create(
        site=first.arrival.site, hold_until=UNTIL + DAY, hold_reason="the court"
    )
    IntakeFactory.create(animal=first.animal, arrival=longer)

    found = hold_of(animal_ids=[first.animal_id], on=TODAY)

    assert found[first.animal_id].until_on == UNTIL + DAY


def test_a_hold_is_lifted_for_one_animal_and_stays_on_record() -> None:
    intake = held()
    other = IntakeFactory.create(arrival=intake.arrival)
    person = UserFactory.create()

    lifted = lift_hold(
        intake=intake, on=TODAY, reason="the owner gave it up", by=person, at=NOW
    )

    assert (lifted.hold_ended_on, lifted.hold_ended_by) == (TODAY, person)
    both = [intake.animal_id, other.animal_id]
    assert set(hold_of(animal_ids=both, on=TODAY)) == {other.animal_id}
    # Until then it was held.
    assert set(hold_of(animal_ids=both, on=TODAY - DAY)) == set()
    intake.arrival.refresh_from_db()
    assert intake.arrival.hold_until == UNTIL
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.before) == (
        "lift_hold",
        {"hold_until": UNTIL.isoformat()},
    )


def test_a_hold_that_was_lifted_on_a_day_held_until_then() -> None:
    intake = held()
    later = NOW + 5 * DAY
    lift_hold(intake=intake, on=later.date(), reason="given up", by=None, at=later)

    before = hold_of(animal_ids=[intake.animal_id], on=later.date() - DAY)

    assert set(before) == {intake.animal_id}
    assert hold_of(animal_ids=[intake.animal_id], on=later.date()) == {}


@pytest.mark.parametrize(
    ("said", "on", "reason", "wrong"),
    [
        ({}, TODAY, " ", "Say why"),
        ({}, TODAY - DAY, "given up", "cannot be lifted"),
        ({}, TODAY + DAY, "given up", "cannot be lifted"),
        (
            {"arrival__hold_until": None, "arrival__hold_reason": ""},
            TODAY,
            "given up",
            "is not on hold",
        ),
        (
            {"hold_ended_on": TODAY, "hold_ended_reason": "given up"},
            TODAY,
            "given up",
            "already",
        ),
    ],
)
def test_a_hold_that_cannot_be_lifted(
    said: dict[str, object], on: date, reason: str, wrong: str
) -> None:
    intake = held(**said)

    with pytest.raises(HoldError, match=wrong):
        lift_hold(intake=intake, on=on, reason=reason, by=None, at=NOW)

    assert not AuditEntry.objects.exists()


def test_a_hold_is_made_longer_for_all_of_a_delivery() -> None:
    intake = held()

    set_hold(
        arrival=intake.arrival,
        until_on=UNTIL + 30 * DAY,
        reason=" order 7 of the court ",
        by=None,
        at=NOW,
    )

    found = hold_of(animal_ids=[intake.animal_id], on=UNTIL + DAY)
    assert found[intake.animal_id].reason == "order 7 of the court"
    entry = AuditEntry.objects.get()
    assert entry.before["hold_until"] == UNTIL.isoformat()


def test_a_hold_that_would_not_change_is_refused() -> None:
    intake = held()

    with pytest.raises(HoldError, match="for that reason already"):
        set_hold(
            arrival=intake.arrival,
            until_on=UNTIL,
            reason="local law on found animals",
            by=None,
            at=NOW,
        )


def test_the_day_of_a_hold_is_the_site_s() -> None:
    intake = held(arrival__site__time_zone="Pacific/Auckland")

    # 12:00 in UTC is 01:00 of the next day there.
    assert hold_of(animal_ids=[intake.animal_id], on=NOW.date()) == {}
    assert set(hold_of(animal_ids=[intake.animal_id], on=NOW.date() + DAY)) == {
        intake.animal_id
    }
