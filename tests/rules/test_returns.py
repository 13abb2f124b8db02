"""The days between two times in care, and who can have come again."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import DomainError
from husbandry.rules.returns import (
    ReturnError,
    TimeAway,
    away_on,
    check_not_away,
    check_return,
)
from husbandry.rules.vocabulary import AnimalStatus

LEFT, CAME = date(2026, 1, 20), date(2026, 2, 10)
AWAY = TimeAway(LEFT, CAME)
DAYS = st.dates(date(2020, 1, 1), date(2030, 1, 1))


@pytest.mark.parametrize(
    ("on", "away"),
    [
        (date(2026, 1, 19), False),
        (LEFT, False),
        (date(2026, 1, 21), True),
        (date(2026, 2, 9), True),
        (CAME, False),
        (date(2026, 2, 11), False),
    ],
)
def test_the_days_of_leaving_and_of_coming_are_days_here(on: date, away: bool) -> None:
    assert away_on((AWAY,), on) == (AWAY if away else None)
    if away:
        with pytest.raises(ReturnError, match="V-7 was not here on") as refusal:
            check_not_away("V-7", on, times=(AWAY,), error=ReturnError, field="at")
        assert refusal.value.fields == {"at": "until 2026-01-20, or from 2026-02-10 on"}
    else:
        check_not_away("V-7", on, times=(AWAY,), error=DomainError, field="at")


def test_one_that_never_left_was_never_away() -> None:
    assert away_on((), CAME) is None


@given(left=DAYS, days=st.integers(0, 400), on=DAYS)
def test_no_day_is_both_here_and_away(left: date, days: int, on: date) -> None:
    away = TimeAway(left, left + timedelta(days=days))

    assert (away_on([away], on) is None) == (on <= left or on >= away.came_on)


@pytest.mark.parametrize(
    ("status", "left_on", "arrived_on", "said"),
    [
        (AnimalStatus.PLACED, LEFT, LEFT, None),
        (AnimalStatus.LOST, LEFT, CAME, None),
        (AnimalStatus.RELEASED, LEFT, CAME, None),
        # An ancestor was put on record on that day; it may have come before.
        (AnimalStatus.ELSEWHERE, CAME, LEFT, None),
        (AnimalStatus.PLACED, LEFT, LEFT - timedelta(days=1), "was here until"),
        (AnimalStatus.PLACED, LEFT, CAME + timedelta(days=2), "has not come yet"),
        (AnimalStatus.IN_CARE, None, CAME, "is in care already"),
        (AnimalStatus.DEAD, LEFT, CAME, "is on record as dead"),
    ],
)
def test_who_can_have_come(
    status: AnimalStatus, left_on: date | None, arrived_on: date, said: str | None
) -> None:
    asked = {
        "label": "V-7",
        "status": status,
        "left_on": left_on,
        "arrived_on": arrived_on,
        "today": CAME + timedelta(days=1),
    }
    if said is None:
        check_return(**asked)
    else:
        with pytest.raises(ReturnError, match=said):
            check_return(**asked)
