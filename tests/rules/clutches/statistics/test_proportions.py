"""Shares and exact tests against published tables and a reference library."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clutches.rules.statistics import binomial_test, clopper_pearson, wilson

# Newcombe 1998, Stat Med 17:857-872, his four examples, from memory; the figures of
# 100/200 and 19/38 are R's (DescTools), carried in the tests of statsmodels; the rest
# was computed by two libraries that agree.
WILSON = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
    (100, 200, 0.4313609, 0.5686391),
    (19, 38, 0.3484993, 0.6515007),
    (23, 60, 0.2709, 0.5098),
    (10, 10, 0.7225, 1.0),
    (0, 1, 0.0, 0.7935),
    (38, 38, 0.9082, 1.0),
    (0, 77, 0.0, 0.0475),
]
EXACT = [
    (81, 263, 0.2527, 0.3676),
    (15, 148, 0.0578, 0.1617),
    (0, 20, 0.0, 0.1684),
    (1, 29, 0.0009, 0.1776),
    (23, 60, 0.2607, 0.5179),
    # From memory of R's own page on its test.
    (682, 925, 0.7076683, 0.7654066),
]
# R's answers, carried in the tests of scipy; 682/925 as on R's own page, from memory;
# 2 of 35 is a heat treatment of bearded dragons (Quinn 2007 at second hand).
TESTS = [
    (9, 21, 0.48, 0.6689672),
    (4, 21, 0.48, 0.0081396),
    (11, 21, 0.48, 0.8278629),
    (7, 21, 0.48, 0.1966773),
    (3, 10, 0.5, 0.34375),
    (2, 2, 0.4, 0.16),
    (2, 4, 0.3, 0.5884),
    (484, 967, 0.5, 1.0),
    (682, 925, 0.75, 0.3824916),
    (17, 50, 0.5, 0.0328391),
    (5, 30, 0.5, 0.00032491),
    (2, 35, 0.5, 3.67e-8),
    (0, 0, 0.5, 1.0),
    (5, 5, 1.0, 1.0),
    (4, 5, 1.0, 0.0),
]


@pytest.mark.parametrize(("count", "of", "low", "high"), WILSON)
def test_wilson_as_published(count: int, of: int, low: float, high: float) -> None:
    share = wilson(count, of)

    assert (share.low, share.high) == pytest.approx((low, high), abs=6e-5)


@pytest.mark.parametrize(("count", "of", "low", "high"), EXACT)
def test_exact_interval_as_published(
    count: int, of: int, low: float, high: float
) -> None:
    share = clopper_pearson(count, of)

    assert (share.low, share.high) == pytest.approx((low, high), abs=6e-5)


@pytest.mark.parametrize(("count", "of", "expected", "p"), TESTS)
def test_binomial_test_as_published(
    count: int, of: int, expected: float, p: float
) -> None:
    assert binomial_test(count, of, expected=expected) == pytest.approx(
        p, rel=2e-3 if p < 1e-7 else 1e-4, abs=1e-12
    )


def test_of_nothing_nothing_is_known() -> None:
    share = wilson(0, 0)

    assert (share.value, share.low, share.high) == (None, 0.0, 1.0)
    assert (clopper_pearson(0, 0).low, clopper_pearson(0, 0).high) == (0.0, 1.0)


@pytest.mark.parametrize(("count", "of"), [(2, 1), (-1, 3)])
def test_more_than_all_is_refused(count: int, of: int) -> None:
    for rule in (wilson, clopper_pearson):
        with pytest.raises(ValueError, match="cannot be"):
            rule(count, of)
    with pytest.raises(ValueError, match="cannot be"):
        binomial_test(count, of, expected=0.5)


@pytest.mark.parametrize("level", [0, 1, 1.5])
def test_no_level_is_refused(level: float) -> None:
    with pytest.raises(ValueError, match="no level"):
        wilson(1, 2, level=level)


def test_no_share_is_refused() -> None:
    with pytest.raises(ValueError, match="no share"):
        binomial_test(1, 2, expected=1.2)


pairs = st.integers(1, 400).flatmap(
    lambda of: st.tuples(st.integers(0, of), st.just(of))
)


@given(pairs, st.sampled_from([0.5, 0.9, 0.95, 0.99]))
def test_intervals_are_those_of_the_reference(
    pair: tuple[int, int], level: float
) -> None:
    count, of = pair
    reference = stats.binomtest(count, of)

    for rule, method in ((wilson, "wilson"), (clopper_pearson, "exact")):
        share = rule(count, of, level=level)
        expected = reference.proportion_ci(level, method)
        assert share.low == pytest.approx(expected.low, abs=1e-9)
        assert share.high == pytest.approx(expected.high, abs=1e-9)
        assert 0 <= share.low <= count / of <= share.high <= 1


@given(pairs, st.sampled_from([0.25, 0.5, 0.48, 0.7, 0.95]))
def test_the_test_is_that_of_the_reference(
    pair: tuple[int, int], expected: float
) -> None:
    count, of = pair

    found = binomial_test(count, of, expected=expected)

    assert found == pytest.approx(
        stats.binomtest(count, of, expected).pvalue, rel=1e-6, abs=1e-12
    )


@given(pairs)
def test_which_of_two_sexes_is_counted_changes_nothing(pair: tuple[int, int]) -> None:
    count, of = pair

    assert binomial_test(count, of, expected=0.5) == pytest.approx(
        binomial_test(of - count, of, expected=0.5), rel=1e-9
    )
    assert wilson(count, of).low == pytest.approx(
        1 - wilson(of - count, of).high, abs=1e-12
    )
