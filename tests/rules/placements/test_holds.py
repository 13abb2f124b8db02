"""How long animals are held, and when a hold can be lifted."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.holds import (
    LONGEST_DAYS,
    NO_HOLD,
    HoldError,
    HoldRule,
    check_hold,
    check_lift,
    check_reason,
    check_rule,
    hold_until,
)

CAME = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("days", "until"),
    [
        (0, None),
        # One day of hold: through the day after it came.
        (1, date(2026, 3, 3)),
        (14, date(2026, 3, 16)),
        (30, date(2026, 4, 1)),
    ],
)
def test_the_day_of_arrival_does_not_count(days: int, until: date | None) -> None:
    assert hold_until(HoldRule(days, "local law"), arrived_on=CAME) == until


def test_nothing_is_held_unless_the_house_says_so() -> None:
    assert hold_until(NO_HOLD, arrived_on=CAME) is None


@given(st.integers(1, LONGEST_DAYS), st.dates(date(2020, 1, 1), date(2030, 1, 1)))
def test_a_hold_lasts_as_many_days_as_it_says(days: int, came: date) -> None:
    until = hold_until(HoldRule(days, "x"), arrived_on=came)

    assert until is not None
    assert (until - came).days == days
    check_hold(until_on=until, arrived_on=came, reason="x")


@pytest.mark.parametrize(
    ("until", "reason", "field"),
    [
        (CAME, "order 7", None),
        (CAME + timedelta(days=1096), "x" * 200, None),
        (CAME - timedelta(days=1), "order 7", "hold_until"),
        (CAME + timedelta(days=1097), "order 7", "hold_until"),
        (CAME, "  ", "hold_reason"),
        (CAME, "x" * 201, "hold_reason"),
    ],
)
def test_a_hold_of_one_delivery(until: date, reason: str, field: str | None) -> None:
    if field is None:
        check_hold(until_on=until, arrived_on=CAME, reason=reason)
        return
    with pytest.raises(HoldError) as refusal:
        check_hold(until_on=until, arrived_on=CAME, reason=reason)
    assert list(refusal.value.fields) == [field]


@pytest.mark.parametrize(
    ("rule", "field"),
    [
        (HoldRule(0, "none is asked"), None),
        (HoldRule(1096, "court"), None),
        (HoldRule(-1, "court"), "days"),
        (HoldRule(1097, "court"), "days"),
        (HoldRule(7, " "), "reason"),
    ],
)
def test_a_policy(rule: HoldRule, field: str | None) -> None:
    if field is None:
        check_rule(rule)
        return
    with pytest.raises(HoldError) as refusal:
        check_rule(rule)
    assert list(refusal.value.fields) == [field]


def test_a_reason_is_needed() -> None:
    check_reason("the owner gave up", field="reason")
    with pytest.raises(HoldError, match="Say why"):
        check_reason("", field="reason")


UNTIL = date(2026, 3, 16)


@pytest.mark.parametrize(
    ("until_on", "lifted_on", "on", "today", "said"),
    [
        (UNTIL, None, CAME, CAME, None),
        (UNTIL, None, UNTIL, UNTIL, None),
        (None, None, CAME, CAME, "is not on hold"),
        (UNTIL, CAME, CAME, CAME, "was lifted on 02 Mar 2026 already"),
        (UNTIL, None, CAME - timedelta(days=1), CAME, "cannot be lifted"),
        (UNTIL, None, CAME + timedelta(days=1), CAME, "cannot be lifted"),
        (UNTIL, None, UNTIL + timedelta(days=1), UNTIL + timedelta(days=9), "cannot"),
    ],
)
def test_lifting_a_hold(
    until_on: date | None,
    lifted_on: date | None,
    on: date,
    today: date,
    said: str | None,
) -> None:
    asked = {
        "until_on": until_on,
        "lifted_on": lifted_on,
        "arrived_on": CAME,
        "on": on,
        "today": today,
    }
    if said is None:
        check_lift("V-1", **asked)
        return
    with pytest.raises(HoldError, match=said):
        check_lift("V-1", **asked)
