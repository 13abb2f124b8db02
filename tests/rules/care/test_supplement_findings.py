"""Supplements left out, and vitamin D3 given too often, counted on a calendar.

Plain calcium at every feeding, a multivitamin with D3 instead of it twice a month, on
the 1st and the 15th; too much D3 is toxic: common practice, no source (K14).
"""

from dataclasses import replace
from datetime import date

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, FeedingFact
from husbandry.rules.care.supplement_days import newest_month_day
from husbandry.rules.care.supplement_findings import supplements_missed, too_much_d3
from husbandry.rules.vocabulary import FindingKind, Urgency
from tests.rules.care import kept
from tests.rules.care.kept import (
    CALCIUM,
    MULTI,
    ON,
    PRACTICE,
    day,
    days,
    fed,
    small_profile,
)

LONG_AGO = date(2026, 1, 2)
D3 = ("multi-d3",)
BARE: tuple[str, ...] = ()
EXTRA = replace(
    MULTI, id="calcium-d3", name="Calcium with D3", month_days=(28,), instead_of=None
)


def missed(
    *feedings: FeedingFact,
    on: date = ON,
    known_from: date = LONG_AGO,
    **changes: object,
) -> dict[str, tuple[str | None, str, int, str | None]]:
    animal = kept.animal(feedings=feedings, **changes)
    found = supplements_missed(animal, known_from=known_from, on=on)
    return {
        a.facts["supplement"]: (
            a.facts["month_day_on"],
            a.facts["due_on"],
            a.facts["missed"],
            a.facts["last_on"],
        )
        for a in found
    }


def d3(*on: date, **changes: object) -> CaredAnimal:
    return kept.animal(feedings=fed(*on, dust=D3), **changes)


def test_feeding_without_supplements_is_told_with_all_its_numbers() -> None:
    feedings = (
        *fed(day(15), dust=D3),
        *fed(day(22)),
        *fed(day(23), day(24), dust=BARE),
    )
    animal = kept.animal(feedings=feedings)

    found = list(supplements_missed(animal, known_from=LONG_AGO, on=ON))

    assert found == [
        Assessment(
            kind=FindingKind.SUPPLEMENT_MISSED,
            urgency=Urgency.WATCH,
            facts={
                "supplement": "calcium",
                "name": "Plain calcium",
                "when": "every_feeding",
                "contains_d3": False,
                "month_day_on": None,
                "due_on": "2026-11-23",
                "newest_on": "2026-11-24",
                "missed": 2,
                "last_on": "2026-11-22",
                "known_from_on": "2026-08-16",
                "convention": "care-task-convention",
            },
            rule_id="calcium",
            provenance=PRACTICE,
            detail=("calcium",),
            animal=1,
        )
    ]


@pytest.mark.parametrize(
    ("feedings", "expected"),
    [
        ((), {}),
        (fed(day(23)), {"multi-d3": ("2026-11-15", "2026-11-23", 1, None)}),
        # The 15th with D3 in the place of calcium, calcium ever since: as it should be.
        ((*fed(day(15), dust=D3), *fed(*days(day(16), day(24)))), {}),
        # Fed by hand, what goes in is the vet's to say.
        ((*fed(day(15), dust=D3), *fed(day(24), dust=BARE, assisted=True)), {}),
        # What nobody ate brought nothing and needed nothing.
        ((*fed(day(15), dust=D3), *fed(day(24), dust=BARE, eaten=0)), {}),
        # Two foods of one day: one of them was dusted.
        (
            (
                *fed(day(15), dust=D3),
                *fed(day(24)),
                *fed(day(24), dust=BARE, feeder="silkworms"),
            ),
            {},
        ),
        # Given again, it is mended.
        (
            (*fed(day(15), dust=D3), *fed(day(22), dust=BARE), *fed(day(24))),
            {},
        ),
        # Nobody fed since: it stays as it was.
        (
            (*fed(day(15), dust=D3), *fed(day(17), dust=BARE)),
            {"calcium": (None, "2026-11-17", 1, None)},
        ),
    ],
)
def test_plain_calcium_goes_on_every_feeding(
    feedings: tuple[FeedingFact, ...],
    expected: dict[str, tuple[str | None, str, int, str | None]],
) -> None:
    assert missed(*feedings) == expected


def test_bare_food_on_the_day_of_the_multivitamin_lacks_the_multivitamin_only() -> None:
    feedings = (*fed(*days(day(2), day(14))), *fed(day(15), dust=BARE))

    assert missed(*feedings, on=day(15)) == {
        "multi-d3": ("2026-11-15", "2026-11-15", 1, None)
    }


@pytest.mark.parametrize(
    ("fed_on", "on", "expected"),
    [
        # The first food on or after the 15th is that of the 16th.
        ((day(14),), day(15), {}),
        ((day(14), day(16)), day(16), {"multi-d3": ("2026-11-15", "2026-11-16", 1)}),
        (
            (day(14), day(16), day(19)),
            day(24),
            {"multi-d3": ("2026-11-15", "2026-11-16", 2)},
        ),
        # Open until the next day of the month begins, which is the 1st.
        ((day(16), day(19)), day(30), {"multi-d3": ("2026-11-15", "2026-11-16", 2)}),
        ((day(16), day(19)), day(1, 12), {}),
        (
            (day(16), day(1, 12)),
            day(1, 12),
            {"multi-d3": ("2026-12-01", "2026-12-01", 1)},
        ),
    ],
)
def test_multivitamin_is_due_with_the_first_food_from_its_day_on(
    fed_on: tuple[date, ...], on: date, expected: dict[str, tuple[str, str, int]]
) -> None:
    found = missed(*fed(*fed_on), on=on)

    assert {name: told[:3] for name, told in found.items()} == expected


def test_multivitamin_given_late_ends_it() -> None:
    feedings = (*fed(day(15), day(17)), *fed(day(20), dust=D3), *fed(day(21)))

    assert missed(*feedings) == {}


@pytest.mark.parametrize(("given", "told"), [(day(15), False), (day(14), True)])
def test_hatchling_fed_daily_gets_it_on_the_day_not_before(
    given: date, told: bool
) -> None:
    found = missed(*fed(given, dust=D3), *fed(day(15)), on=day(15))

    assert ("multi-d3" in found) is told


@pytest.mark.parametrize(
    ("given", "told"), [(day(14), False), (day(13), False), (day(12), True)]
)
def test_adult_may_get_it_with_a_feeding_that_came_early(
    given: date, told: bool
) -> None:
    # Up to three days between feedings: that of the 13th stands for one on the 15th.
    animal = kept.grown(feedings=(*fed(given, dust=D3), *fed(day(16))))

    found = supplements_missed(animal, known_from=LONG_AGO, on=day(16))

    assert ("multi-d3" in {a.facts["supplement"] for a in found}) is told


@pytest.mark.parametrize(
    ("given", "told"),
    [((day(3),), True), ((day(3), day(10)), False), ((day(3), day(4), day(5)), False)],
)
def test_nobody_is_asked_for_more_d3_than_a_month_may_bring(
    given: tuple[date, ...], told: bool
) -> None:
    found = missed(*fed(*given, dust=D3), *fed(*days(day(15), day(24))))

    assert ("multi-d3" in found) is told


def test_another_product_with_d3_counts_towards_the_month() -> None:
    profile = small_profile(supplements=(CALCIUM, MULTI, EXTRA))
    feedings = (
        *fed(day(3), dust=D3),
        *fed(day(10), dust=("calcium-d3",)),
        *fed(day(15)),
    )

    assert "multi-d3" not in missed(*feedings, profile=profile)


@pytest.mark.parametrize(
    ("known_from", "arrived", "told"),
    [
        (day(15), LONG_AGO, True),
        (day(16), LONG_AGO, False),
        (LONG_AGO, day(15), True),
        (LONG_AGO, day(16), False),
    ],
)
def test_day_before_the_records_or_the_animal_began_is_not_judged(
    known_from: date, arrived: date, told: bool
) -> None:
    found = missed(
        *fed(*days(day(17), day(24))), known_from=known_from, arrived_on=arrived
    )

    assert ("multi-d3" in found) is told


def test_supplement_that_came_with_a_later_life_stage_is_not_asked_for_before() -> None:
    multi = replace(MULTI, stages=("adult",))
    profile = small_profile(supplements=(CALCIUM, multi))
    hatched_on = date(2025, 11, 20)  # an adult from 20 November 2026 on

    found = missed(
        *fed(*days(day(15), day(24))), profile=profile, hatched_on=hatched_on
    )

    assert found == {}


@pytest.mark.parametrize("unknown", [{"profile": None}, {"hatched_on": None}])
def test_animal_without_a_profile_or_a_stage_is_not_judged(
    unknown: dict[str, None],
) -> None:
    assert missed(*fed(day(24), dust=BARE), **unknown) == {}


def test_supplement_of_some_days_that_replaces_nothing_stands_beside_calcium() -> None:
    vitamin_a = replace(
        MULTI, id="a", month_days=(20,), instead_of=None, contains_d3=False
    )
    profile = small_profile(supplements=(CALCIUM, vitamin_a))

    found = missed(*fed(day(20), dust=BARE), profile=profile, on=day(20))

    assert set(found) == {"calcium", "a"}


def test_too_much_d3_is_told_with_all_its_numbers() -> None:
    animal = d3(day(1), day(15), day(24))

    assert too_much_d3(animal, on=ON) == Assessment(
        kind=FindingKind.TOO_MUCH_D3,
        urgency=Urgency.TODAY,
        facts={
            "month": "2026-11",
            "given_on": ["2026-11-01", "2026-11-15", "2026-11-24"],
            "times": 3,
            "most_a_month": 2,
            "products": ["Multivitamin with vitamin D3"],
            "last_on": "2026-11-24",
            "convention": "care-task-convention",
        },
        rule_id="multi-d3",
        provenance=PRACTICE,
        animal=1,
    )


@pytest.mark.parametrize(
    ("given", "on", "times"),
    [
        ((), ON, None),
        ((day(1),), ON, None),
        ((day(1), day(15)), ON, None),
        ((day(1), day(15), day(16)), ON, 3),
        # Twice on one day is one day.
        ((day(1), day(15), day(15)), ON, None),
        # A calendar month, not thirty days.
        ((day(30, 10), day(1), day(15)), ON, None),
        # What was given after the day was not known on it.
        ((day(1), day(15), day(25)), ON, None),
        # A new month begins anew.
        ((day(1), day(15), day(30)), day(1, 12), None),
        ((day(1), day(15), day(30)), day(30), 3),
    ],
)
def test_days_with_d3_are_counted_by_the_calendar_month(
    given: tuple[date, ...], on: date, times: int | None
) -> None:
    found = too_much_d3(d3(*given), on=on)

    assert (found and found.facts["times"]) == times


def test_two_products_with_d3_count_together() -> None:
    profile = small_profile(supplements=(CALCIUM, MULTI, EXTRA))
    feedings = (
        *fed(day(1), day(15), dust=D3),
        *fed(day(15), day(20), dust=("calcium-d3",)),
    )

    found = too_much_d3(kept.animal(profile=profile, feedings=feedings), on=ON)

    assert found is not None
    assert found.facts["given_on"] == ["2026-11-01", "2026-11-15", "2026-11-20"]
    assert found.facts["products"] == [MULTI.name, EXTRA.name]


def test_lowest_of_several_limits_holds() -> None:
    profile = small_profile(
        supplements=(CALCIUM, MULTI, replace(EXTRA, most_a_month=1))
    )

    found = too_much_d3(d3(day(1), day(15), profile=profile), on=ON)

    assert found is not None
    assert (found.facts["most_a_month"], found.rule_id) == (1, "calcium-d3")


def test_limit_of_the_own_life_stage_goes_before_that_of_another() -> None:
    other = replace(EXTRA, most_a_month=1, stages=("adult",))
    profile = small_profile(supplements=(CALCIUM, MULTI, other))

    assert too_much_d3(d3(day(1), day(15), profile=profile), on=ON) is None


def test_without_a_life_stage_the_limit_still_holds() -> None:
    staged = replace(MULTI, stages=("young", "adult"))
    profile = small_profile(supplements=(CALCIUM, staged))
    animal = d3(day(1), day(2), day(3), hatched_on=None, profile=profile)

    assert too_much_d3(animal, on=ON) is not None


@pytest.mark.parametrize(
    "animal",
    [
        d3(day(1), day(2), day(3), profile=None),
        d3(
            day(1),
            day(2),
            day(3),
            profile=small_profile(supplements=(replace(MULTI, most_a_month=None),)),
        ),
        d3(
            day(1),
            day(2),
            day(3),
            profile=small_profile(supplements=(replace(MULTI, contains_d3=False),)),
        ),
        kept.animal(feedings=fed(day(1), day(2), day(3), dust=D3, eaten=0)),
    ],
)
def test_without_a_limit_or_without_d3_nothing_is_too_much(animal: CaredAnimal) -> None:
    assert too_much_d3(animal, on=ON) is None


def test_d3_in_food_given_by_hand_counts() -> None:
    feedings = fed(day(1), day(15), day(16), dust=D3, assisted=True)

    assert too_much_d3(kept.animal(feedings=feedings), on=ON) is not None


@pytest.mark.parametrize(
    ("on", "expected"),
    [
        (day(1), day(1)),
        (day(14), day(1)),
        (day(15), day(15)),
        (day(30), day(15)),
        (date(2027, 1, 1), date(2027, 1, 1)),
    ],
)
def test_newest_month_day(on: date, expected: date) -> None:
    assert newest_month_day(MULTI, on) == expected


def test_newest_month_day_may_lie_in_the_month_before() -> None:
    last = replace(MULTI, month_days=(28,))

    assert newest_month_day(last, date(2027, 3, 27)) == date(2027, 2, 28)


def test_rule_of_every_feeding_has_no_day_of_the_month() -> None:
    assert newest_month_day(CALCIUM, ON) is None
