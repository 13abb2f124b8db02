"""Phases by the day of incubation, and what they aim at; counted on fingers."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from clutches.rules.incubation.phases import (
    hard_limits,
    phase_number_on,
    phase_on,
    plan_of_profile,
    set_point_c,
)
from clutches.rules.vocabulary import PhaseKind
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Period, Zone
from tests.rules.clutches.incubation.made import VEILED, phase, plan

COOL = PhaseKind.COOL
CYCLE = plan(phase(days=45), phase("18.0", "20.0", days=1, kind=COOL), phase())


@pytest.mark.parametrize(
    ("day", "number"),
    [(-1, None), (0, 0), (44, 0), (45, 1), (46, 2), (47, 2), (400, 2)],
)
def test_phase_of_a_day(day: int, number: int | None) -> None:
    assert phase_number_on(CYCLE, day=day) == number
    assert phase_on(CYCLE, day=day) == (
        None if number is None else CYCLE.phases[number]
    )


def test_the_last_phase_goes_on_even_where_it_was_to_end() -> None:
    short = plan(phase(days=10), phase("20.0", "22.0", days=5))

    assert phase_number_on(short, day=14) == 1
    assert phase_number_on(short, day=15) == 1


def test_one_open_phase_holds_from_the_day_of_laying_on() -> None:
    assert [phase_number_on(plan(), day=day) for day in (0, 300)] == [0, 0]


@pytest.mark.parametrize(
    ("light_share", "expected"),
    # By day 26–28 aims at 27, by night 20–23 at 21.5.
    [(0.0, 21.5), (0.5, 24.25), (1.0, 27.0), (1 / 3, 21.5 + 5.5 / 3)],
)
def test_set_point_is_the_middle_of_the_bands_by_light(
    light_share: float, expected: float
) -> None:
    found = set_point_c(
        phase("26.0", "28.0", night=("20.0", "23.0")), light_share=light_share
    )

    assert found == pytest.approx(expected)


def test_set_point_of_one_band_does_not_ask_for_light() -> None:
    assert set_point_c(phase(), light_share=0.0) == 26.5
    assert set_point_c(phase(), light_share=0.7) == pytest.approx(26.5)


def test_the_shipped_profile_is_one_warm_phase_until_they_hatch() -> None:
    """andrews-2008: 25 to 28 °C, with 30 °C as the warmest regime studied."""
    found = plan_of_profile(VEILED)

    assert found is not None
    assert found.phases == (phase("25.0", "28.0"),)
    assert (found.hard_low_c, found.hard_high_c) == (None, Decimal("30.0"))
    assert (found.code, found.rule_id) == ("", "eggs-day")
    assert found.provenance is not None
    assert found.provenance.source == "andrews-2008"
    assert found.limit_provenance is not None


def eggs(profile: Profile, **changes: Any) -> Profile:
    """Return a profile whose rows of eggs are changed alike."""
    rows = [
        replace(row, **changes) if row.zone is Zone.EGGS else row
        for row in profile.targets
    ]
    return replace(profile, targets=tuple(rows))


def without(profile: Profile, *periods: Period) -> Profile:
    rows = [
        row
        for row in profile.targets
        if row.zone is not Zone.EGGS or row.period not in periods
    ]
    return replace(profile, targets=tuple(rows))


def test_a_profile_without_rows_of_eggs_wants_nothing() -> None:
    bare = without(VEILED, *Period)

    assert plan_of_profile(bare) is None
    assert hard_limits(bare) == (None, None)


@pytest.mark.parametrize("gone", list(Period))
def test_a_row_by_day_or_by_night_alone_holds_for_both(gone: Period) -> None:
    found = plan_of_profile(without(VEILED, gone))

    assert found is not None
    assert found.phases == (phase("25.0", "28.0"),)


def test_an_open_end_is_the_hard_limit_and_without_one_there_is_no_band() -> None:
    open_above = plan_of_profile(eggs(VEILED, high=None))
    open_below = plan_of_profile(eggs(VEILED, low=None))

    assert open_above is not None
    assert open_above.phases == (phase("25.0", "30.0"),)
    assert open_below is None


def test_of_two_rows_the_narrower_hard_limits_hold() -> None:
    rows = [
        replace(row, hard_low=Decimal(20), hard_high=Decimal(29))
        if row.zone is Zone.EGGS and row.period is Period.NIGHT
        else row
        for row in eggs(VEILED, hard_low=Decimal(18)).targets
    ]

    found = hard_limits(replace(VEILED, targets=tuple(rows)))

    assert found == (Decimal(20), Decimal(29))
