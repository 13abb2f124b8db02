"""Who is behind: by hand, by mates and by references.

The comparison of clutch-mates is a design from memory. The reference is the World
Health Organization's of boys, taken as if its kilograms were grams: no reference of
a chameleon is published, and only the arithmetic is tried.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.assessments import Assessment
from husbandry.rules.growth.assessing import GrowingAnimal, assess_growth
from husbandry.rules.profiles.values import (
    GrowthReference,
    LmsPoint,
    Provenance,
    Stage,
    WeighingRule,
)
from husbandry.rules.vocabulary import FindingKind, Sex, Standing, Urgency
from husbandry.rules.weights import WeighingPoint
from tests.rules.growth.herds import (
    GROWTH,
    HATCHED_ON,
    ON,
    SAID,
    animal,
    clutch,
    weighing,
)

LISBON = ZoneInfo("Europe/Lisbon")
DAY = timedelta(days=1)
MATES = ("30", "30.5", "31", "31.4", "32.5", "33.5", "30.4", "33")
PUBLISHED = Provenance("who-growth-2006", Standing.PUBLISHED, date(2026, 1, 1))


def boys(*points: LmsPoint) -> GrowthReference:
    return GrowthReference("boys", Sex.MALE, points, PUBLISHED)


# Days 30 and 100 of the table of boys.
BOYS = boys(
    LmsPoint(30, Decimal("0.2303"), Decimal("4.4525"), Decimal("0.13413")),
    LmsPoint(100, Decimal("0.1682"), Decimal("6.5699"), Decimal("0.11588")),
)


def assess(
    animals: list[GrowingAnimal], *, on: date = ON, zone: ZoneInfo = LISBON
) -> dict[int | None, Assessment]:
    found = assess_growth(animals, on=on, zone=zone)
    assert len({a.animal for a in found}) == len(found)
    return {a.animal: a for a in found}


def runt(mass_g: str = "23.90", **more: Any) -> GrowingAnimal:
    return animal(1, (0, mass_g), **more)


def test_behind_its_mates_with_every_number() -> None:
    one = animal(1, (28, "20.70"), (14, "22.30"), (0, "23.90"))

    found = assess([one, *clutch(MATES)])

    assert found.keys() == {1}
    facts = found[1].facts
    mates = facts.pop("weighed_mates")
    assert [m["mass_g"] for m in mates] == list(MATES)
    assert mates[0] == {
        "animal": "V-0100",
        "mass_g": "30",
        "on": "2026-03-31",
        "age_days": 61,
    }
    # In order 30, 30.4, 30.5, 31, 31.4, 32.5, 33, 33.5: median 31.2; away from it
    # 1.2, .8, .7, .2, .2, 1.3, 1.8, 2.3: median 1.0, and 7.3 / 1.4826 = 4.92.
    assert found[1] == Assessment(
        kind=FindingKind.GROWTH_BEHIND,
        urgency=Urgency.WATCH,
        facts={
            "by": "mates",
            "mass_g": "23.90",
            "on": "2026-03-31",
            "age_days": 61,
            "mates": 8,
            "median_g": "31.2",
            "scaled_mad_g": "1.483",
            "score": -4.92,
            "rank": 9,
            "limit_mads": 2.5,
            "within_days": 3,
            "policy": "mates-convention",
            "gain_g_per_day": 0.1143,  # 1.6 g in 14 days
            "gain_low": None,  # three points bound nothing
            "gain_high": None,
            "gain_weighings": 3,
            "gain_days": 28,
        },
        rule_id="",
        provenance=SAID,
        animal=1,
    )


# Mates 20, 21, 22, 23, 24: median 22, deviation 1, scaled 1.4826; 2.5 of them are
# 3.7065 g, so that 18.2935 g is exactly at the limit.
@pytest.mark.parametrize(
    ("mass_g", "behind"),
    [
        ("18.2935", True),
        ("18.2936", False),
        ("18.2934", True),
        ("22", False),
        ("40", False),
    ],
)
def test_at_the_limit_is_behind(mass_g: str, behind: bool) -> None:
    assert bool(assess([runt(mass_g), *clutch((20, 21, 22, 23, 24))])) is behind


def test_too_few_mates_are_silence() -> None:
    assert assess([runt("1"), *clutch((20, 21, 22, 23))]) == {}
    assert assess([runt("1")]) == {}
    assert assess([]) == {}


def test_mates_that_weigh_the_same_are_silence() -> None:
    assert assess([runt("1"), *clutch([20] * 6)]) == {}


def test_mates_that_left_are_compared_with_and_not_judged() -> None:
    left = [replace(a, judged=False) for a in clutch((20, 21, 22, 23, 24))]
    small = animal(2, (0, 2), judged=False)

    assert assess([runt("1"), small, *left]).keys() == {1}


@pytest.mark.parametrize(
    "changes",
    [
        {"stage": None},
        {"stage": Stage("adult", "Adult", 365, None, SAID)},
        {"growth_policy": None},
        {"weight_policy": None},
        {"hatched_on": None},
        {"hatched_on": ON + DAY},  # weighed before it hatched: a slip
        {"dam": None},
        {"weighings": ()},
        {"judged": False},
    ],
)
def test_who_is_not_judged(changes: dict[str, Any]) -> None:
    mates = clutch((20, 21, 22, 23, 24))
    assert assess([runt("1"), *mates]).keys() == {1}

    assert assess([replace(runt("1"), **changes), *mates]) == {}


RULE = WeighingRule("young", (), 7, 20, SAID)


@pytest.mark.parametrize(
    ("rule", "days_ago", "judged"),
    [(None, 14, True), (None, 15, False), (RULE, 20, True), (RULE, 21, False)],
)
def test_an_old_weighing_says_nothing(
    rule: WeighingRule | None, days_ago: int, judged: bool
) -> None:
    mates = [
        animal(key, (days_ago, mass_g)) for key, mass_g in enumerate(range(20, 26), 100)
    ]
    one = animal(1, (days_ago, 1), weighing=rule)

    assert (1 in assess([one, *mates])) is judged


def test_only_what_was_known_that_day_counts() -> None:
    later = animal(1, (3, 22), (0, 1))
    mates = [animal(key, (3, mass)) for key, mass in enumerate(range(20, 26), 100)]

    assert assess([later, *mates]).keys() == {1}
    assert assess([later, *mates], on=ON - DAY) == {}
    # 23:30 UTC is the next day in Lisbon.
    late = WeighingPoint(9, datetime(2026, 3, 30, 23, 30, tzinfo=UTC), Decimal(1))
    one = replace(later, weighings=(weighing(3, 22), late))
    assert assess([one, *mates], on=ON - DAY) == {}
    assert assess([one, *mates], on=ON - DAY, zone=ZoneInfo("UTC")).keys() == {1}


def test_a_corrected_weighing_does_not_count() -> None:
    one = replace(runt(), weighings=(weighing(0, 1, 7), weighing(0, 22, 8, corrects=7)))

    assert assess([one, *clutch((20, 21, 22, 23, 24))]) == {}


# By reference.


def test_behind_by_reference_with_every_number() -> None:
    # On day 65, half way: L .19925, M 5.5112, S .125005; by hand for 4 g:
    # ((4/5.5112)^.19925 − 1)/(.19925 · .125005) = −2.4836.
    one = animal(1, (0, "4.00"), reference=BOYS, hatched_on=ON - 65 * DAY, sex=Sex.MALE)

    assert assess([one])[1] == Assessment(
        kind=FindingKind.GROWTH_BEHIND,
        urgency=Urgency.WATCH,
        facts={
            "by": "reference",
            "mass_g": "4.00",
            "on": "2026-03-31",
            "age_days": 65,
            "z": -2.48,
            "centile": 0.7,
            "unlikely": False,
            "reference": "boys",
            "source": "who-growth-2006",
            "limit_z": -2.0,
            "policy": "mates-convention",
            "gain_g_per_day": None,
            "gain_days": 28,
        },
        rule_id="boys",
        provenance=PUBLISHED,
        animal=1,
    )


@pytest.mark.parametrize(("mass_g", "behind"), [("3.3757", False), ("3.3755", True)])
def test_two_deviations_below_the_table(mass_g: str, behind: bool) -> None:
    # The table's mass two deviations below on day 30: 3.3756.
    one = animal(1, (0, mass_g), reference=BOYS, hatched_on=ON - 30 * DAY)

    assert bool(assess([one])) is behind


def test_at_the_limit_of_a_score_is_behind() -> None:
    # A plain score: the mean 100, the deviation 10.
    plain = boys(LmsPoint(61, Decimal(1), Decimal(100), Decimal("0.1")))

    assert assess([runt("80.01", reference=plain)]) == {}
    assert assess([runt("80.00", reference=plain)])[1].facts["z"] == -2


def test_far_below_the_tails_are_even_and_the_score_is_flagged() -> None:
    # The boy of 365 days and 6 kg: −4.279979 raw, −4.136593 with even tails.
    year = boys(LmsPoint(61, Decimal("0.0645"), Decimal("9.646"), Decimal("0.10925")))

    far = assess([runt("6", reference=year)])[1].facts
    farther = assess([runt("3", reference=year)])[1].facts

    assert (far["z"], far["unlikely"]) == (-4.14, False)
    assert farther["unlikely"]


def test_a_reference_goes_before_mates_and_mates_before_silence() -> None:
    mates = clutch((20, 21, 22, 23, 24))
    outside = boys(LmsPoint(62, Decimal(1), Decimal(100), Decimal("0.1")))
    inside = boys(LmsPoint(61, Decimal(1), Decimal(10), Decimal("0.1")))

    # Never extrapolated: a day outside its ages the mates decide.
    assert assess([runt("10", reference=outside), *mates])[1].facts["by"] == "mates"
    # It is as heavy as the reference wants, so that the mates are not asked.
    assert assess([runt("10", reference=inside), *mates]) == {}
    assert assess([runt("10"), *mates])[1].facts["by"] == "mates"


def test_a_mass_of_nothing_has_no_score() -> None:
    assert assess([runt("0", reference=BOYS)]) == {}


def test_each_animal_by_its_own_policy() -> None:
    mates = clutch((20, 21, 22, 23, 24))
    # The two are each other's mates too: median 21.5, deviation 1.5, score −3.37.
    patient = replace(GROWTH, behind_mads=Decimal(9))

    found = assess(
        [runt("14"), replace(runt("14"), id=2, growth_policy=patient), *mates]
    )

    assert found.keys() == {1}


# Laws.

CLUTCHES = st.lists(
    st.tuples(
        st.integers(0, 6),
        st.sampled_from([900, 901]),
        st.lists(
            st.tuples(st.integers(0, 30), st.integers(100, 4000)),
            max_size=3,
            unique_by=lambda w: w[0],
        ),
    ),
    max_size=16,
)


def drawn_animals(
    drawn: list[tuple[int, int, list[tuple[int, int]]]],
) -> list[GrowingAnimal]:
    return [
        animal(
            key,
            *((days, mass / 100) for days, mass in weighings),
            dam=dam,
            hatched_on=HATCHED_ON + off_days * DAY,
        )
        for key, (off_days, dam, weighings) in enumerate(drawn)
    ]


@given(CLUTCHES)
def test_the_order_of_the_animals_does_not_matter(
    drawn: list[tuple[int, int, list[tuple[int, int]]]],
) -> None:
    animals = drawn_animals(drawn)

    def told(animals: list[GrowingAnimal]) -> dict[int | None, Any]:
        return {
            key: sorted(str(v) for v in found.facts.items() if v[0] != "weighed_mates")
            for key, found in assess(animals).items()
        }

    assert told(animals) == told(animals[::-1])


@given(CLUTCHES)
def test_whoever_is_behind_is_lighter_than_the_median(
    drawn: list[tuple[int, int, list[tuple[int, int]]]],
) -> None:
    for found in assess(drawn_animals(drawn)).values():
        assert Decimal(found.facts["mass_g"]) < Decimal(found.facts["median_g"])
        assert found.facts["mates"] == len(found.facts["weighed_mates"]) >= 5
        assert found.facts["score"] <= -2.5 + 0.005
