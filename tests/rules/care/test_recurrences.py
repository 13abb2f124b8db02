"""Recurrences against the examples of RFC 5545, §3.8.5.3 (rfc-5545)."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.care.feeding_days import feeding_days
from husbandry.rules.care.recurrences import days_by_turns, recurring

NEW_YORK = ZoneInfo("America/New_York")


def days(year: int, **months: str) -> tuple[date, ...]:
    """Return days as the standard lists them: month by month."""
    names = ("jan", "feb", "mar", "apr", "may", "jun")
    names += ("jul", "aug", "sep", "oct", "nov", "dec")
    return tuple(
        date(year, names.index(month) + 1, int(day))
        for month, listed in months.items()
        for day in listed.split(",")
    )


@pytest.mark.parametrize(
    ("rule", "anchor_on", "expected"),
    [
        pytest.param(
            "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO",
            date(1997, 8, 5),
            days(1997, aug="5,10,19,24"),
            id="week begins on Monday",
        ),
        pytest.param(
            "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU",
            date(1997, 8, 5),
            days(1997, aug="5,17,19,31"),
            id="week begins on Sunday",
        ),
        pytest.param(
            "FREQ=DAILY;COUNT=10",
            date(1997, 9, 2),
            days(1997, sep="2,3,4,5,6,7,8,9,10,11"),
            id="daily for ten times",
        ),
        pytest.param(
            "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR",
            date(1997, 9, 1),
            days(
                1997,
                sep="1,3,5,15,17,19,29",
                oct="1,3,13,15,17,27,29,31",
                nov="10,12,14,24,26,28",
                dec="8,10,12,22",
            ),
            id="every other week until a day",
        ),
        pytest.param(
            "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
            date(2007, 1, 15),
            days(2007, jan="15,30", feb="15", mar="15,30"),
            id="the 30th of February is passed over",
        ),
    ],
)
def test_an_example_of_the_standard(
    rule: str, anchor_on: date, expected: tuple[date, ...]
) -> None:
    # As there: at nine in the morning, by the clock of New York.
    first_at = datetime.combine(anchor_on, time(9), tzinfo=NEW_YORK)

    found = recurring(
        rule,
        first_at=first_at,
        from_at=first_at,
        until_at=datetime(2010, 1, 1, tzinfo=NEW_YORK),
    )

    assert found == tuple(
        datetime.combine(on, time(9), tzinfo=NEW_YORK) for on in expected
    )


def test_a_rule_that_is_none_is_refused() -> None:
    at = datetime(2026, 3, 1, tzinfo=NEW_YORK)

    with pytest.raises(ValueError, match="SOMETIMES"):
        recurring("FREQ=SOMETIMES", first_at=at, from_at=at, until_at=at)


@pytest.mark.parametrize(
    ("low", "high", "from_on", "until_on", "expected"),
    [
        # From the anchor, 1 March: 2 days, 3 days, 2 days, 3 days …
        (2, 3, 1, 15, (1, 3, 6, 8, 11, 13)),
        (2, 3, 6, 6, (6,)),
        (2, 3, 7, 7, ()),
        (1, 1, 4, 6, (4, 5, 6)),
        (2, 2, 2, 8, (3, 5, 7)),
        (2, 4, 1, 20, (1, 3, 6, 10, 12, 15, 19)),
        (1, 2, 9, 5, ()),
    ],
)
def test_feeding_days_take_turns_between_low_and_high(
    low: int, high: int, from_on: int, until_on: int, expected: tuple[int, ...]
) -> None:
    found = feeding_days(
        every_days_low=low,
        every_days_high=high,
        anchor_on=date(2026, 3, 1),
        from_on=date(2026, 3, from_on),
        until_on=date(2026, 3, until_on),
    )

    assert found == tuple(date(2026, 3, day) for day in expected)


def test_no_feeding_day_comes_before_the_anchor() -> None:
    found = feeding_days(
        every_days_low=2,
        every_days_high=2,
        anchor_on=date(2026, 3, 10),
        from_on=date(2026, 3, 1),
        until_on=date(2026, 3, 13),
    )

    assert found == (date(2026, 3, 10), date(2026, 3, 12))


@pytest.mark.parametrize("steps", [(), (0,), (2, -1)])
def test_steps_that_lead_nowhere_are_refused(steps: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="1 day or more"):
        days_by_turns(
            steps,
            anchor_on=date(2026, 3, 1),
            from_on=date(2026, 3, 1),
            until_on=date(2026, 3, 9),
        )


@given(
    steps=st.lists(st.integers(1, 5), min_size=1, max_size=4).map(tuple),
    anchor_on=st.dates(date(2020, 1, 1), date(2026, 6, 1)),
    from_on=st.dates(date(2026, 1, 1), date(2026, 12, 31)),
    length=st.integers(0, 40),
)
def test_days_by_turns_are_those_counted_from_the_anchor(
    steps: tuple[int, ...], anchor_on: date, from_on: date, length: int
) -> None:
    until_on = from_on + timedelta(length)
    counted, on, turn = [], anchor_on, 0
    while on <= until_on:
        counted += [on] if on >= from_on else []
        on += timedelta(steps[turn % len(steps)])
        turn += 1

    found = days_by_turns(
        steps, anchor_on=anchor_on, from_on=from_on, until_on=until_on
    )

    assert found == tuple(counted)
