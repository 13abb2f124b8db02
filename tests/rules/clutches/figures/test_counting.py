"""Figures of one group, counted by hand beside them."""

from dataclasses import replace

import pytest

from clutches.rules.figures.counting import figures_of, sexes_of
from clutches.rules.figures.facts import BreedingRows
from clutches.rules.statistics import wilson
from clutches.rules.vocabulary import EggState, FailureCause
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex
from tests.rules.clutches.figures.made import ONE, clutch, egg, young

A = AnimalStatus


def test_eggs_of_one_clutch() -> None:
    found = figures_of(ONE)

    # Fertile: both hatched, the one that died in it, the one with vessels: 4. Known
    # to be infertile: 2 at laying and 1 later. The sixth is undecided.
    assert (found.fertility.count, found.fertility.of) == (4, 7)
    assert found.undecided == 1
    # Five have ended, two of them by hatching; of four fertile ones two hatched.
    assert (found.hatch_rate.count, found.hatch_rate.of) == (2, 5)
    assert found.hatch_rate == wilson(2, 5)
    assert (found.hatch_rate_fertile.count, found.hatch_rate_fertile.of) == (2, 4)
    assert found.open == 1
    assert (found.eggs_set, found.infertile_at_laying, found.broken_at_laying) == (
        *(6, 2, 1),
    )
    assert (found.days.count, found.days.median) == (2, 203)
    assert (found.days.least, found.days.most) == (200, 206)


def test_an_egg_with_vessels_that_still_incubates_is_fertile_and_open() -> None:
    rows = replace(ONE, eggs=(egg(1, vessels=True),))

    found = figures_of(rows)

    assert (found.fertility.count, found.undecided, found.open) == (1, 0, 1)
    assert (found.hatch_rate.of, found.hatch_rate.value) == (0, None)


def test_an_egg_called_infertile_is_so_whatever_was_seen_before() -> None:
    rows = replace(
        ONE,
        eggs=(
            egg(
                1,
                EggState.FAILED,
                days=99,
                cause=FailureCause.INFERTILE,
                vessels=True,
            ),
        ),
    )

    assert figures_of(rows).fertility.count == 0


def test_nothing_gives_no_figure() -> None:
    found = figures_of(BreedingRows((), (), ()))

    assert found.hatch_rate.value is None
    assert found.days.median is None
    assert found.survival.at(30) is None
    assert found.sexes.p is None


def test_survival_counts_who_left_as_watched_until_then() -> None:
    young_ones = (
        young(1, 10, A.DEAD),
        young(2, 20, A.PLACED),
        young(3, 40, A.DEAD),
        young(4, 95),
        young(5, 95, A.LOST),
    )
    found = figures_of(BreedingRows(ONE.clutches, (), young_ones))

    # By hand: 4/5 after day 10; three are watched on day 40, one of them dies.
    shares = [found.survival.at(days) for days in (30, 60, 90)]
    assert [one.surviving for one in shares if one] == pytest.approx(
        [4 / 5, 4 / 5 * 2 / 3, 4 / 5 * 2 / 3]
    )
    assert [one.at_risk for one in shares if one] == [3, 2, 2]
    assert found.survival.at(120) is None
    assert (found.dead, found.lost, found.hatchlings) == (2, 1, 5)


def test_who_has_no_hatch_date_is_told_apart() -> None:
    rows = BreedingRows(
        ONE.clutches, (), (young(1, 40), replace(young(2, 40), watched_days=None))
    )

    found = figures_of(rows)

    assert (found.undated, found.survival.watched, found.hatchlings) == (1, 1, 2)


def test_of_few_sexes_no_test_is_made() -> None:
    assert sexes_of([young(n, 5) for n in range(4)]).p is None
    five = sexes_of([young(n, 5) for n in range(5)])
    assert five.p == pytest.approx(2 / 32)


def test_masses_that_nobody_took_are_left_out() -> None:
    rows = BreedingRows(
        ONE.clutches,
        (),
        (
            young(1, 5, mass_g="1.00"),
            young(2, 5, mass_g="1.30"),
            young(3, 5, mass_g=None),
        ),
    )

    found = figures_of(rows).mass_g

    assert (found.count, found.median, found.least, found.most) == (2, 1.15, 1.0, 1.3)


def test_sexes_with_what_is_not_settled_apart() -> None:
    found = sexes_of(
        [
            *(young(n, 5) for n in range(3)),
            *(young(n, 5, sex=Sex.MALE) for n in range(3, 9)),
            young(9, 5, sex=Sex.MALE, confidence=Confidence.LIKELY),
            young(10, 5, sex=Sex.UNKNOWN, confidence=Confidence.UNCERTAIN),
        ]
    )

    assert (found.female, found.male, found.confirmed, found.unclear) == (3, 7, 9, 1)
    # R's exact binomial test of 3 in 10 against one half (carried in scipy's tests).
    assert found.p == pytest.approx(0.34375)
    assert (found.females.count, found.females.of) == (3, 10)


def test_where_warmth_decides_the_sex_nothing_is_tested_against_as_many_of_each() -> (
    None
):
    five = tuple(young(n, 5) for n in range(5))
    plain = BreedingRows((clutch(1), clutch(2, by_warmth=True)), (), five)
    warm = replace(plain, clutches=(clutch(1, by_warmth=True),))

    # Five of five against one half, by hand: two outcomes of thirty-two.
    assert figures_of(plain).sexes.p == pytest.approx(2 / 32)
    assert figures_of(warm).sexes.p is None
    assert figures_of(warm).sexes.female == 5
