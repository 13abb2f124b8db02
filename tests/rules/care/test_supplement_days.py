"""What one feeding is dusted with.

Plain calcium at every feeding; twice a month a multivitamin with D3 instead: common
practice, no source. The two days are a convention (care-task-convention).
"""

from datetime import date

import pytest

from husbandry.rules.care.supplement_days import supplements_at
from husbandry.rules.profiles.values import Provenance, SupplementRule
from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.vocabulary import Standing

PROVENANCE = Provenance(
    "common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 1), ""
)
ALWAYS, SOME_DAYS = SupplementWhen.EVERY_FEEDING, SupplementWhen.MONTH_DAYS


def rule(
    name: str, when: SupplementWhen, days: tuple[int, ...] = (), instead: str = ""
) -> SupplementRule:
    return SupplementRule(name, (), name, when, days, instead or None, "", PROVENANCE)


CALCIUM = rule("calcium", ALWAYS)
PROBIOTIC = rule("probiotic", ALWAYS)
VITAMIN_D3 = rule("vitamin-d3", SOME_DAYS, (1, 15), "calcium")
IODINE = rule("iodine", SOME_DAYS, (15,))
RULES = (VITAMIN_D3, CALCIUM, PROBIOTIC, IODINE)


@pytest.mark.parametrize(
    ("feeding_on", "previous_on", "expected"),
    [
        pytest.param("03-02", "02-28", (PROBIOTIC, VITAMIN_D3), id="day after the 1st"),
        pytest.param("03-01", "02-28", (PROBIOTIC, VITAMIN_D3), id="on the 1st"),
        pytest.param("03-02", "03-01", (CALCIUM, PROBIOTIC), id="the 1st was served"),
        pytest.param("03-14", "03-12", (CALCIUM, PROBIOTIC), id="the 15th is to come"),
        pytest.param(
            "03-15", "03-12", (PROBIOTIC, VITAMIN_D3, IODINE), id="two on the 15th"
        ),
        pytest.param("03-16", None, (CALCIUM, PROBIOTIC), id="no feeding before"),
        pytest.param(
            "03-15", None, (PROBIOTIC, VITAMIN_D3, IODINE), id="first feeding, on it"
        ),
        pytest.param(
            "03-20", "01-10", (PROBIOTIC, VITAMIN_D3, IODINE), id="once for many"
        ),
        pytest.param("03-01", "03-01", (CALCIUM, PROBIOTIC), id="the same day again"),
    ],
)
def test_a_feeding_takes_what_fell_due_since_the_one_before(
    feeding_on: str, previous_on: str | None, expected: tuple[SupplementRule, ...]
) -> None:
    found = supplements_at(
        RULES,
        feeding_on=date.fromisoformat(f"2026-{feeding_on}"),
        previous_on=date.fromisoformat(f"2026-{previous_on}") if previous_on else None,
    )

    assert found == expected


def test_without_rules_nothing_is_dusted() -> None:
    found = supplements_at((), feeding_on=date(2026, 3, 1), previous_on=None)

    assert found == ()
