"""Sexes of groups: counted, tested where that is fair, never made from warmth."""

from dataclasses import replace
from decimal import Decimal

import pytest
from scipy.stats import binomtest

from clutches.rules.figures.facts import BreedingRows
from clutches.rules.sexing.ratios import group_sexes
from husbandry.rules.vocabulary import Confidence, Sex
from tests.rules.clutches.figures.made import clutch, young
from tests.rules.clutches.sexing.test_temperatures import ROWS

GECKOS = {"leopard_gecko": ROWS}


def hatched(
    females: int, males: int, unclear: int = 0, *, of: int = 1, mean_c: float = 26.4
) -> tuple[object, ...]:
    sexes = [Sex.FEMALE] * females + [Sex.MALE] * males + [Sex.UNKNOWN] * unclear
    return tuple(
        young(100 * of + n, 30, clutch=of, sex=sex, mean_c=mean_c)
        for n, sex in enumerate(sexes)
    )


def rows(*young_: object, species: str = "veiled_chameleon") -> BreedingRows:
    return BreedingRows((clutch(1, species=species),), (), young_)


def test_counts_with_the_exact_interval_and_test() -> None:
    # Held to scipy's exact test, two-sided, and its Clopper-Pearson interval.
    exact = binomtest(7, 20, 0.5)
    ends = exact.proportion_ci(confidence_level=0.95, method="exact")

    [told] = group_sexes({"C-1": rows(*hatched(7, 13, 2))}, {})

    assert told.group == "C-1"
    assert (told.sexes.female, told.sexes.male, told.sexes.unclear) == (7, 13, 2)
    assert told.sexes.females.low == pytest.approx(ends.low)
    assert told.sexes.females.high == pytest.approx(ends.high)
    assert told.p == pytest.approx(exact.pvalue)
    assert (told.by_warmth, told.published) == (False, None)


def test_groups_in_which_nothing_hatched_are_left_out() -> None:
    assert group_sexes({"C-1": rows()}, {}) == ()


def test_where_warmth_decides_as_many_of_each_is_not_expected() -> None:
    group = rows(*hatched(0, 12, mean_c=32.51), species="leopard_gecko")

    [told] = group_sexes({"I-1": group}, GECKOS)

    assert told.by_warmth
    assert told.sexes.p is not None
    assert told.p is None
    assert told.published is not None
    assert told.published.temperature_c == Decimal("32.5")
    assert told.published.sentence == "25 % females published at 32.5 °C"


def test_warmth_gives_nobody_a_sex() -> None:
    group = rows(*hatched(0, 0, 9, mean_c=26.0), species="leopard_gecko")

    [told] = group_sexes({"I-1": group}, GECKOS)

    assert (told.sexes.female, told.sexes.male, told.sexes.unclear) == (0, 0, 9)
    assert told.published is not None
    assert told.published.exact is not None


def test_only_what_was_measured_for_half_the_time_makes_a_mean() -> None:
    warm = hatched(1, 0, mean_c=30.0)
    hardly = [replace(young(9, 30, mean_c=34.0), measured=0.49)]
    nowhere = [replace(young(8, 30), mean_c=None, measured=0.0)]

    [told] = group_sexes(
        {"I-1": rows(*warm, *hardly, *nowhere, species="leopard_gecko")}, GECKOS
    )
    [none] = group_sexes({"I-1": rows(*hardly, species="leopard_gecko")}, GECKOS)

    assert told.published is not None
    assert told.published.temperature_c == Decimal("30.0")
    assert (none.by_warmth, none.published) == (True, None)


def test_of_two_species_nothing_published_is_told_and_nothing_tested() -> None:
    both = BreedingRows(
        (clutch(1), clutch(2, species="leopard_gecko")),
        (),
        (*hatched(5, 5), *hatched(5, 5, of=2)),
    )

    [told] = group_sexes({"2026": both}, GECKOS)

    assert (told.by_warmth, told.p, told.published) == (True, None, None)


def test_a_likely_sex_counts_and_is_told_apart() -> None:
    likely = young(1, 3, sex=Sex.MALE, confidence=Confidence.LIKELY)

    [told] = group_sexes({"C-1": rows(likely, young(2, 3))}, {})

    assert (told.sexes.male, told.sexes.female, told.sexes.likely) == (1, 1, 1)
    assert told.p is None
