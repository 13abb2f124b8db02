"""Clutch-mates: medians and deviations by hand and by the reference libraries.

That a hatchling is held against at least five mates of its age, three days more or
less, by median and median deviation is a design from memory, without a source.
"""

import random
from datetime import timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from husbandry.rules.growth import families
from husbandry.rules.growth.assessing import GrowingAnimal
from husbandry.rules.growth.evidence import Weighed, by_mates
from husbandry.rules.growth.families import Kin, families_of
from husbandry.rules.growth.herds import weighed_herd
from husbandry.rules.growth.mates import (
    MateComparison,
    compare_with_mates,
    score_rows,
)
from tests.rules.growth.herds import GROWTH, HATCHED_ON, ON, animal

# The textbook example of percentiles: the 50th is 35.
TEXTBOOK = (15, 20, 35, 40, 50)
DAY = timedelta(days=1)


def masses(*values: float) -> list[Decimal]:
    return [Decimal(str(value)) for value in values]


def test_the_textbook_masses_by_hand() -> None:
    # Median 35; away from it 20, 15, 0, 5, 15: median 15; 15 · 1.4826 = 22.239.
    found = compare_with_mates(Decimal(10), masses(*TEXTBOOK), least=5)

    assert found.mates == 5
    assert found.median_g == 35
    assert found.scaled_mad_g == pytest.approx(22.239)
    assert found.score == pytest.approx(-25 / 22.239)
    assert found.rank == 6


def test_an_even_number_of_mates_by_hand() -> None:
    # Median (31 + 32) / 2; away 2.5, 1.5, .5, .5, 1.5, 3.5: median 1.5.
    found = compare_with_mates(Decimal(24), masses(29, 30, 31, 32, 33, 35), least=5)

    assert found == MateComparison(
        mates=6,
        median_g=31.5,
        scaled_mad_g=pytest.approx(2.2239),
        score=pytest.approx(-7.5 / 2.2239),
        rank=7,
    )


@pytest.mark.parametrize(("mates", "least"), [(0, 1), (4, 5), (2, 5)])
def test_too_few_mates_are_counted_and_not_compared(mates: int, least: int) -> None:
    found = compare_with_mates(Decimal(10), masses(*TEXTBOOK[:mates]), least=least)

    assert found == MateComparison(mates)


def test_too_few_mates_as_evidence() -> None:
    one = Weighed("V-0001", ON, 61, Decimal("10.00"))

    facts = by_mates(one, [one], MateComparison(1), GROWTH)

    assert facts["mates"] == len(facts["weighed_mates"]) == 1
    assert {facts[key] for key in ("median_g", "scaled_mad_g", "score", "rank")} == {
        None
    }


def test_one_mate_may_be_enough_but_none_never() -> None:
    one = compare_with_mates(Decimal(10), masses(10), least=1)
    assert one == MateComparison(1, 10, 0, 0, 1)
    with pytest.raises(ValueError, match="least is 0"):
        compare_with_mates(Decimal(10), [], least=0)


@pytest.mark.parametrize(("mass_g", "score"), [(20, 0), (19.99, None), (20.01, None)])
def test_mates_that_weigh_the_same_have_no_deviation(
    mass_g: float, score: float | None
) -> None:
    # Three of five weigh 20 g, so the median deviation is nought.
    found = compare_with_mates(
        Decimal(str(mass_g)), masses(20, 20, 20, 15, 30), least=5
    )

    assert (found.median_g, found.scaled_mad_g, found.score) == (20, 0, score)


MASSES = st.lists(st.integers(50, 20_000), min_size=1, max_size=40)


@given(st.integers(50, 20_000), MASSES)
def test_numpy_and_scipy_agree(mass: int, mates: list[int]) -> None:
    found = compare_with_mates(
        Decimal(mass) / 100, [Decimal(mate) / 100 for mate in mates], least=1
    )

    grams = np.array(mates) / 100
    assert found.median_g == pytest.approx(float(np.median(grams)))
    deviation = stats.median_abs_deviation(grams, scale=1 / 1.4826)
    assert found.scaled_mad_g == pytest.approx(float(deviation), abs=1e-9)
    assert found.rank == 1 + sum(mate > mass for mate in mates)
    # scipy's own factor is 1.482602…, the same to four decimals.
    normal = float(stats.median_abs_deviation(grams, scale="normal"))
    assert found.scaled_mad_g == pytest.approx(normal, rel=1e-5, abs=1e-9)


@given(st.lists(st.tuples(st.integers(50, 500), MASSES), min_size=1, max_size=6))
def test_many_at_once_are_as_one_by_one(rows: list[tuple[int, list[int]]]) -> None:
    width = max(len(mates) for _, mates in rows)
    table = np.full((len(rows), width), np.nan)
    for place, (_, mates) in enumerate(rows):
        # Gaps may stand anywhere in a row.
        table[place, width - len(mates) :] = mates

    found = score_rows(np.array([float(mass) for mass, _ in rows]), table)

    for place, (mass, mates) in enumerate(rows):
        alone = compare_with_mates(Decimal(mass), masses(*mates), least=1)
        assert found.of(place) == alone


@given(st.integers(50, 20_000), MASSES, st.randoms(use_true_random=False))
def test_the_order_of_the_mates_does_not_matter(
    mass: int, mates: list[int], chance: random.Random
) -> None:
    straight = [Decimal(mate) for mate in mates]
    shuffled = straight[:]
    chance.shuffle(shuffled)

    found = compare_with_mates(Decimal(mass), straight, least=1)

    assert compare_with_mates(Decimal(mass), shuffled, least=1) == found


def test_nobody_at_all_scores_nothing() -> None:
    found = score_rows(np.array([3.0]), np.empty((1, 0)))

    assert (found.mates.tolist(), np.isnan(found.score).tolist()) == ([0], [True])


# Who is a mate, and which of its weighings counts.


def mates_of(
    animals: list[GrowingAnimal], *, within_days: int = 3
) -> dict[int, list[str]]:
    """Return, for each animal that is asked about, what its mates weighed."""
    herd = weighed_herd([a.weighings for a in animals], on=ON, zone=ZoneInfo("UTC"))
    keys = [
        [-1 if a.dam is None else a.dam for a in animals],
        [-1 if a.sire is None else a.sire for a in animals],
        [-1 if a.hatched_on is None else a.hatched_on.toordinal() for a in animals],
    ]
    kin = Kin(*(np.array(column, np.int64) for column in keys))
    asked = np.array(
        [i for i, a in enumerate(animals) if a.weighings and a.hatched_on], np.int64
    )
    found = {}
    for family in families_of(herd, kin, asked, within_days=within_days):
        for place, weighings in zip(family.asked, family.weighings, strict=True):
            found[animals[place].id] = [
                str(herd.points[w].mass_g) for w in weighings if w >= 0
            ]
    return found


def test_mates_share_dam_sire_and_day_of_hatching() -> None:
    animals = [
        animal(1, (0, 20)),
        animal(2, (0, 21)),
        animal(3, (0, 22), dam=902),
        animal(4, (0, 23), sire=903),
        animal(5, (0, 24), sire=None),  # not known: it does not speak against it
        animal(6, (0, 25), hatched_on=HATCHED_ON + 3 * DAY),
        animal(7, (0, 26), hatched_on=HATCHED_ON + 4 * DAY),
        animal(8, (0, 27), hatched_on=None),
        animal(9),
        animal(10, (0, 28), dam=None),
        animal(11, (0, 29), dam=None),
        animal(12, (0, 30), hatched_on=HATCHED_ON - 200 * DAY),
    ]

    found = mates_of(animals)

    assert found[1] == ["21", "24", "25"]
    assert found[4] == ["24"]  # of its sire, or not known of which
    assert found[5] == ["20", "21", "23", "25"]
    assert found[6] == ["20", "21", "24", "26"]
    assert found[7] == ["25"]
    assert not {3, 8, 9, 10, 11, 12} & found.keys()


def test_each_mate_stands_with_its_weighing_nearest_in_age() -> None:
    animals = [
        animal(1, (40, 5), (2, 20)),  # 59 days old when it was weighed last
        animal(2, (9, 15), (4, 18), (1, 21)),  # 57 and 60 days: the nearer
        animal(3, (4, 16), (0, 22)),  # 57 and 61 days: the younger of both
        animal(4, (5, 17), (6, 3)),  # 56 days, just within
        animal(5, (6, 14)),  # 55 days
        animal(6, (2, 31, 7), (2, 32, 8)),  # twice a day: the last one
    ]

    assert mates_of(animals)[1] == ["21", "16", "17", "32"]
    assert mates_of(animals, within_days=0)[1] == ["32"]


def test_the_age_counts_and_not_the_day_of_weighing() -> None:
    # Hatched two days later, weighed two days later: the same age.
    later = animal(2, (0, 21), (2, 19), hatched_on=HATCHED_ON + 2 * DAY)

    assert mates_of([animal(1, (2, 20)), later], within_days=2)[1] == ["21"]


CLUTCHES = st.lists(
    st.tuples(
        st.sampled_from([None, 900, 901]),
        st.sampled_from([None, 910, 911]),
        st.integers(0, 8),
        st.lists(st.integers(0, 40), max_size=5, unique=True),
    ),
    max_size=9,
)


@given(CLUTCHES, st.integers(0, 4), st.sampled_from([1, 30, 2**20]))
def test_families_are_as_found_pair_by_pair(
    drawn: list[tuple[int | None, int | None, int, list[int]]],
    within_days: int,
    at_once: int,
) -> None:
    animals = [
        animal(
            key,
            *((days_ago, key + days_ago / 100) for days_ago in days),
            dam=dam,
            sire=sire,
            hatched_on=HATCHED_ON + off_days * DAY,
        )
        for key, (dam, sire, off_days, days) in enumerate(drawn)
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(families, "AT_ONCE", at_once)
        found = mates_of(animals, within_days=within_days)

    for one in animals:
        expected = [
            mass
            for other in animals
            if (mass := mate_mass(one, other, within_days)) is not None
        ]
        assert sorted(found.get(one.id, [])) == sorted(expected)


def mate_mass(one: GrowingAnimal, other: GrowingAnimal, within_days: int) -> str | None:
    """Say what a mate weighed at one's age, or None, in the plainest way."""
    assert one.hatched_on is not None
    assert other.hatched_on is not None
    if one.id == other.id or one.dam is None or one.dam != other.dam:
        return None
    if None not in (one.sire, other.sire) and one.sire != other.sire:
        return None
    if abs((one.hatched_on - other.hatched_on).days) > within_days:
        return None
    if not one.weighings or not other.weighings:
        return None
    age = max((w.at.date() - one.hatched_on).days for w in one.weighings)
    at_age = [((w.at.date() - other.hatched_on).days, w) for w in other.weighings]
    near = [(abs(a - age), a, w) for a, w in at_age if abs(a - age) <= within_days]
    if not near:
        return None
    return str(min(near, key=lambda item: item[:2])[2].mass_g)
