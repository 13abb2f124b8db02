"""Many trends at once: the same answers as one by one, and as the reference library."""

import math
from datetime import timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from husbandry.rules.growth import robust
from husbandry.rules.growth.herds import weighed_herd
from husbandry.rules.growth.robust import theil_sen_rows, trends_of
from husbandry.rules.trends import NoSlopeError, Slope, theil_sen
from husbandry.rules.weights import WeighingPoint
from tests.rules.growth.herds import ON, weighing

UTC_ZONE = ZoneInfo("UTC")


def one_by_one(x: list[float], y: list[float], confidence: float) -> Slope | None:
    try:
        return theil_sen(x, y, confidence)
    except NoSlopeError:
        return None


ROWS = st.integers(0, 12).flatmap(
    lambda n: st.lists(
        st.lists(
            # Few whole numbers, so that many tie in x and in y.
            st.tuples(st.integers(0, 15), st.integers(-9, 9)),
            min_size=n,
            max_size=n,
        ),
        min_size=1,
        max_size=6,
    )
)


@given(ROWS, st.sampled_from([0.8, 0.93, 0.95, 0.99]))
def test_as_one_by_one(rows: list[list[tuple[int, int]]], confidence: float) -> None:
    points = np.array(rows, np.float64).reshape(len(rows), -1, 2)
    x, y = points[:, :, 0], points[:, :, 1] / 3

    found = theil_sen_rows(x, y, confidence=confidence)

    assert [found.of(row) for row in range(len(rows))] == [
        one_by_one(a.tolist(), b.tolist(), confidence)
        for a, b in zip(x, y, strict=True)
    ]


def test_sen_1968_example_among_others() -> None:
    # Sen 1968, the worked example, as in scipy's tests.
    x = np.array([[1, 2, 3, 4, 10, 12, 18], [0, 1, 2, 3, 4, 5, 6]], float)
    y = np.array([[9, 15, 19, 20, 45, 55, 78], [0, 2, 4, 6, 8, 10, 12]], float)

    found = theil_sen_rows(x, y, confidence=0.93)

    assert found.slope == pytest.approx([4, 2])
    assert found.low[0] == pytest.approx(3.714286, abs=1e-6)
    assert found.high[0] == pytest.approx(4.375)
    assert found.weighings.tolist() == [7, 7]


@pytest.mark.parametrize("n", [8, 25])
def test_scipy_agrees(n: int) -> None:
    random = np.random.default_rng(n)
    x = random.integers(0, 60, (40, n)).astype(float)
    y = x / 3 + random.integers(-12, 12, (40, n))

    found = theil_sen_rows(x, y)

    for row in range(40):
        expected = stats.theilslopes(y[row], x[row], alpha=0.95)
        assert found.slope[row] == pytest.approx(expected.slope, abs=1e-12)
        assert found.low[row] == pytest.approx(expected.low_slope, abs=1e-12)
        assert found.high[row] == pytest.approx(expected.high_slope, abs=1e-12)


def test_block_by_block_is_as_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(1)
    x, y = random.random((11, 9)), random.random((11, 9))
    whole = theil_sen_rows(x, y)

    monkeypatch.setattr(robust, "PAIRS_AT_ONCE", 100)  # two rows of 36 pairs

    blocks = theil_sen_rows(x, y)
    for name in ("slope", "low", "high"):
        assert getattr(blocks, name).tolist() == getattr(whole, name).tolist()


def test_unlike_shapes_and_odd_confidences_are_refused() -> None:
    with pytest.raises(ValueError, match="must be alike"):
        theil_sen_rows(np.zeros((2, 3)), np.zeros((2, 4)))
    with pytest.raises(ValueError, match="not between 0 and 1"):
        theil_sen_rows(np.zeros((2, 3)), np.zeros((2, 3)), confidence=95)


def test_trends_of_a_herd_end_with_each_animals_last_weighing() -> None:
    herd = weighed_herd(
        [
            [weighing(0, 20), weighing(14, 13), weighing(28, 6), weighing(29, 90)],
            [weighing(50, 2), weighing(60, 1)],
            [],
            [weighing(3, 7)],
            [weighing(3, 7, key=1), weighing(3, 8, key=2)],  # one instant
        ],
        on=ON,
        zone=UTC_ZONE,
    )

    found = trends_of(herd, window_days=28)

    assert found.of(0) == Slope(0.5, -math.inf, math.inf, 3)
    assert found.of(1) == Slope(0.1, -math.inf, math.inf, 2)
    assert [found.of(row) for row in (2, 3, 4)] == [None, None, None]
    assert found.weighings.tolist() == [3, 2, 0, 1, 2]


HISTORIES = st.lists(
    st.lists(
        st.tuples(st.integers(0, 90 * 24 * 60), st.integers(100, 9000)),
        max_size=10,
        unique_by=lambda point: point[0],
    ),
    max_size=6,
)


@given(HISTORIES, st.integers(7, 60))
def test_a_herd_is_as_its_animals(
    histories: list[list[tuple[int, int]]], window_days: int
) -> None:
    end_at = weighing(0, 1).at
    points = [
        [
            WeighingPoint(
                key, end_at - timedelta(minutes=minutes), Decimal(mass_g) / 100
            )
            for key, (minutes, mass_g) in enumerate(history)
        ]
        for history in histories
    ]
    zone = ZoneInfo("Europe/Lisbon")

    found = trends_of(weighed_herd(points, on=ON, zone=zone), window_days=window_days)

    for row, history in enumerate(points):
        days = [p.at.astimezone(zone).date() for p in history]
        inside = sorted(
            (
                p
                for p, day in zip(history, days, strict=True)
                if day >= max(days) - timedelta(days=window_days)
            ),
            key=lambda p: p.at,
        )
        expected = one_by_one(
            [(p.at - inside[0].at).total_seconds() / 86_400 for p in inside],
            [float(p.mass_g) for p in inside],
            0.95,
        )
        one = found.of(row)
        assert (one is None) == (expected is None)
        if one is not None and expected is not None:
            assert one.n == expected.n
            assert (one.slope, one.low, one.high) == pytest.approx(
                (expected.slope, expected.low, expected.high), rel=1e-6
            )
