"""What an incubation plan may say, at each limit and just over."""

from decimal import Decimal

import pytest

from clutches.rules.facts import Phase
from clutches.rules.incubation.plans import IncubationPlanError, check_plan
from clutches.rules.vocabulary import PhaseKind
from tests.rules.clutches.incubation.made import phase

COOL = PhaseKind.COOL


def check(
    *phases: Phase, hard_low: str | None = None, hard_high: str | None = "30.0"
) -> None:
    check_plan(
        phases,
        hard_low_c=None if hard_low is None else Decimal(hard_low),
        hard_high_c=None if hard_high is None else Decimal(hard_high),
    )


@pytest.mark.parametrize(
    "phases",
    [
        [phase()],
        [phase("30.0", "30.0")],
        [phase("26.0", "28.0", night=("20.0", "22.0"))],
        [phase(days=45), phase("18.0", "20.0", days=60, kind=COOL), phase()],
        [phase("18.0", "20.0", kind=COOL)],
        [*[phase(days=730)] * 11, phase()],
        [phase("0", "45")],
    ],
)
def test_a_plan_that_will_do(phases: list[Phase]) -> None:
    check(*phases, hard_high=None if phases[0].day_high_c > 30 else "30.0")


@pytest.mark.parametrize(
    ("phases", "said"),
    [
        ([], "A plan has 1 to 12 phases; 0 were given."),
        ([*[phase(days=1)] * 12, phase()], "1 to 12 phases; 13 were given"),
        ([phase(days=45)], "is the last one and ends after 45 days"),
        ([phase(), phase()], "Phase 1 has no days"),
        ([phase(days=0), phase()], "Phase 1 cannot last 0 days: 1 to 730 would do."),
        ([phase(days=731), phase()], "cannot last 731 days"),
        ([phase("28.0", "25.0")], "Phase 1 by day: the lower end 28.0 °C lies above"),
        ([phase(night=("28.0", "25.0"))], "Phase 1 by night: the lower end"),
        ([phase("25.0", "30.1")], "30.1 °C lies above 30.0 °C, past which"),
        ([phase("19.9", "25.0")], "19.9 °C lies below 20.0 °C, past which"),
        ([phase("25.05", "26.0")], "25.05 °C cannot be"),
        ([phase("NaN", "26.0")], "NaN °C cannot be"),
        ([phase("-0.1", "26.0")], "-0.1 °C cannot be"),
        ([phase("26.0", "45.1")], "45.1 °C cannot be"),
        (
            [phase("25.0", "28.0", days=9, kind=COOL), phase()],
            "Phase 1 is called cool and aims at 26.5 °C, no cooler than a warm phase",
        ),
    ],
)
def test_a_plan_that_will_not_do(phases: list[Phase], said: str) -> None:
    with pytest.raises(IncubationPlanError) as refused:
        check(*phases, hard_low="20.0")

    assert said in str(refused.value)
    assert refused.value.fields
