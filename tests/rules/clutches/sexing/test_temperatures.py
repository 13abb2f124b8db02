"""Published sex ratios by temperature are told at their points and nowhere else."""

from datetime import date
from decimal import Decimal

import pytest

from clutches.rules.sexing import ratio_at
from husbandry.rules.profiles.values import Provenance, SexRatio
from husbandry.rules.vocabulary import Standing

FLORES = Provenance("flores-1994", Standing.PUBLISHED, date(2026, 1, 1))
# Flores, Tousignant, Crews 1994, Physiol Behav 55:1067-1072: leopard geckos, share of
# females by incubation temperature.
PUBLISHED = {"26": 100, "30": 70, "32.5": 25, "34": 95}
ROWS = tuple(
    SexRatio(f"r-{at}", Decimal(at), Decimal(pct), FLORES)
    for at, pct in PUBLISHED.items()
)


@pytest.mark.parametrize(("at", "pct"), PUBLISHED.items())
def test_a_published_point(at: str, pct: int) -> None:
    told = ratio_at(ROWS[::-1], Decimal(at))

    assert told.exact is not None
    assert told.exact.female_pct == pct
    assert told.sentence == f"{pct} % females published at {at} °C"


def test_between_two_points_nothing_is_read_off_a_line() -> None:
    told = ratio_at(ROWS, Decimal(31))

    assert told.exact is None
    assert told.sentence == (
        "nothing published at 31 °C; between 25 and 70 % at the temperatures beside "
        "it, and not on a straight line"
    )


@pytest.mark.parametrize("at", ["25.9", "34.1"])
def test_outside_all_points_nothing_is_published(at: str) -> None:
    assert ratio_at(ROWS, Decimal(at)).sentence == f"nothing published at {at} °C"


def test_without_rows_nothing_is_published() -> None:
    assert ratio_at((), Decimal(30)).between is None
