"""Student's t against a reference library and the printed table."""

import pytest
from scipy import stats

from husbandry.rules.growth.quantiles import NORMAL_FROM, t_between, t_quantile


@pytest.mark.parametrize(
    ("degrees_of_freedom", "expected"),
    # The table printed in every textbook, two-sided 95 %.
    [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042), (120, 1.980)],
)
def test_printed_table(degrees_of_freedom: int, expected: float) -> None:
    assert t_quantile(degrees_of_freedom) == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99, 0.9999])
@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 8, 47, 48, 1001, 5000])
def test_reference_library(freedom: int, confidence: float) -> None:
    expected = stats.t.ppf((1 + confidence) / 2, freedom)

    assert t_quantile(freedom, confidence) == pytest.approx(expected, rel=1e-9)
    assert t_between(expected, freedom) == pytest.approx(confidence, rel=1e-12)


def test_very_many_are_the_normal_curve() -> None:
    assert t_quantile(10**9) == t_quantile(NORMAL_FROM)
    assert t_quantile(10**9) == pytest.approx(stats.norm.ppf(0.975), rel=1e-5)


@pytest.mark.parametrize("confidence", [0.0, 1.0, -1.0, float("nan")])
def test_what_is_no_confidence_is_refused(confidence: float) -> None:
    with pytest.raises(ValueError, match="not between 0 and 1"):
        t_quantile(3, confidence)


def test_no_degree_of_freedom_is_refused() -> None:
    with pytest.raises(ValueError, match="1 is the least"):
        t_quantile(0)
