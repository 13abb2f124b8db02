"""Cole's method, against the World Health Organization's tables.

L, M and S are those of its data file `weianthro` (repository
WorldHealthOrganization/anthro); scores worked out from them by the published
formula. The reference is of people: only the arithmetic is taken from it.
"""

from datetime import date
from decimal import Decimal
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from husbandry.rules.growth.references import (
    Lms,
    centile,
    is_unlikely,
    lms_at,
    value_at_z,
    z_score,
    z_score_with_tails,
)
from husbandry.rules.profiles.values import GrowthReference, LmsPoint, Provenance
from husbandry.rules.vocabulary import Standing

BOYS = {
    0: Lms(0.3487, 3.3464, 0.14602),
    30: Lms(0.2303, 4.4525, 0.13413),
    100: Lms(0.1682, 6.5699, 0.11588),
    180: Lms(0.1269, 7.9002, 0.10965),
    365: Lms(0.0645, 9.646, 0.10925),
}
GIRL_365 = Lms(-0.2022, 8.9462, 0.12267)
SAID = Provenance("who-growth-2006", Standing.PUBLISHED, date(2026, 1, 1))


def reference(*days: int) -> GrowthReference:
    points = tuple(
        LmsPoint(
            day,
            Decimal(str(BOYS[day].power)),
            Decimal(str(BOYS[day].median_g)),
            Decimal(str(BOYS[day].variation)),
        )
        for day in days
    )
    return GrowthReference("boys", None, points, SAID)


@pytest.mark.parametrize(
    ("lms", "mass", "z"),
    [
        (BOYS[0], 3.3464, 0),
        (BOYS[0], 2.5, -1.898780),
        (BOYS[0], 1.5, -4.793432),
        (BOYS[365], 7.0, -2.904718),
        (BOYS[365], 14, 3.451032),
        (BOYS[365], 6, -4.279979),
    ],
)
def test_scores_by_the_tables(lms: Lms, mass: float, z: float) -> None:
    assert z_score(mass, lms) == pytest.approx(z, abs=1e-6)


def test_a_published_answer() -> None:
    # Grellety, figshare 4294085: a girl of 365 days that weighs 9 kg.
    assert z_score(9, GIRL_365) == pytest.approx(0.048847178, abs=1e-6)


@pytest.mark.parametrize(
    ("lms", "mass", "z"),
    [
        (BOYS[0], 1.5, -4.531137),
        (BOYS[365], 14, 3.484885),
        (BOYS[365], 6, -4.136593),
        (BOYS[0], 2.5, -1.898780),  # within three deviations nothing changes
    ],
)
def test_scores_with_even_tails(lms: Lms, mass: float, z: float) -> None:
    assert z_score_with_tails(mass, lms) == pytest.approx(z, abs=1e-6)


@pytest.mark.parametrize(
    ("lms", "z", "mass"),
    [
        *zip(
            [BOYS[30]] * 5,
            (-2, -1, 0, 1, 2),
            (3.3756, 3.8854, 4.4525, 5.0813, 5.7763),
            strict=True,
        ),
        (BOYS[100], -3, 4.5918),
        (BOYS[100], 3, 9.2106),
        (BOYS[180], -3, 5.6456),
        (BOYS[180], 3, 10.9043),
    ],
)
def test_masses_at_whole_deviations(lms: Lms, z: float, mass: float) -> None:
    assert value_at_z(z, lms) == pytest.approx(mass, abs=1e-4)


@pytest.mark.parametrize(
    ("day", "row"),
    [
        # The printed tables give one decimal ("from memory"; the file agrees).
        (0, (2.1, 2.5, 2.9, 3.3, 3.9, 4.4, 5.0)),
        (365, (6.9, 7.7, 8.6, 9.6, 10.8, 12.0, 13.3)),
    ],
)
def test_the_printed_rows(day: int, row: tuple[float, ...]) -> None:
    masses = [value_at_z(z, BOYS[day]) for z in range(-3, 4)]

    assert [round(mass, 1) for mass in masses if mass] == list(row)


@pytest.mark.parametrize(
    ("z", "percent"), [(0, 50), (-1.8808, 3), (-1.6449, 5), (1.2816, 90)]
)
def test_centiles(z: float, percent: float) -> None:
    assert centile(z) == pytest.approx(percent, abs=0.01)
    assert centile(z) == pytest.approx(100 * stats.norm.cdf(z), abs=1e-9)


@pytest.mark.parametrize("mass", [0, -1.0])
def test_what_is_not_above_zero_has_no_score(mass: float) -> None:
    assert z_score(mass, BOYS[0]) is None
    assert z_score_with_tails(mass, BOYS[0]) is None


@pytest.mark.parametrize(
    ("z", "unlikely"),
    [(-6.01, True), (-6, False), (0, False), (5, False), (5.01, True)],
)
def test_scores_too_far_out_are_flagged(z: float, unlikely: bool) -> None:
    assert is_unlikely(z) is unlikely


@pytest.mark.parametrize("age_days", [-1, 365.5, 400])
def test_nothing_is_said_outside_the_ages(age_days: float) -> None:
    assert lms_at(reference(0, 30, 365), age_days=age_days) is None
    assert lms_at(reference(), age_days=age_days) is None


@pytest.mark.parametrize("day", BOYS)
def test_at_an_age_of_the_table_the_table_counts(day: int) -> None:
    assert lms_at(reference(*BOYS), age_days=day) == BOYS[day]


def test_one_age_alone_is_a_reference_of_that_age() -> None:
    assert lms_at(reference(30), age_days=30) == BOYS[30]
    assert lms_at(reference(30), age_days=31) is None


def test_between_two_ages_it_goes_straight() -> None:
    # A third of the way from day 0 to day 30, by hand.
    found = lms_at(reference(0, 30), age_days=10)

    assert found is not None
    assert found.power == pytest.approx(0.3487 - 0.1184 / 3)
    assert found.median_g == pytest.approx(3.3464 + 1.1061 / 3)
    assert found.variation == pytest.approx(0.14602 - 0.01189 / 3)


def test_a_power_of_one_is_the_plain_score() -> None:
    # By hand: the mean 100, the standard deviation 10.
    assert z_score(85, Lms(1, 100, 0.1)) == pytest.approx(-1.5)
    assert value_at_z(-1.5, Lms(1, 100, 0.1)) == pytest.approx(85)


def test_a_power_of_zero_is_the_logarithm() -> None:
    lms = Lms(0, 20, 0.1)

    assert z_score(20 * 2.718281828459045**0.2, lms) == pytest.approx(2)
    assert value_at_z(2, lms) == pytest.approx(24.428055)  # 20·e^0.2


def test_where_no_mass_has_a_score_there_is_none() -> None:
    # 1 + 2 · 0.3 · (−2) is below zero: this reference ends above −2 deviations.
    lms = Lms(2, 20, 0.3)

    assert value_at_z(-2, lms) is None
    assert (
        z_score_with_tails(0.01, lms)
        == z_score(0.01, lms)
        == pytest.approx(-1 / 0.6, abs=1e-6)
    )


def test_absurd_parameters_stay_finite() -> None:
    assert z_score(1e7, Lms(60, 0.01, 0.1)) == pytest.approx(1.0142320547350045e304 / 6)


LMS = st.builds(
    Lms,
    st.one_of(st.floats(-2, 2), st.just(0.0), st.floats(-1e-9, 1e-9)),
    st.floats(0.5, 200),
    st.floats(0.02, 0.3),
)


@given(LMS, st.floats(0.2, 5), st.floats(1.001, 3))
def test_heavier_scores_higher(lms: Lms, share: float, factor: float) -> None:
    mass = share * lms.median_g

    lighter, heavier = z_score(mass, lms), z_score(mass * factor, lms)
    assert lighter is not None
    assert heavier is not None
    assert lighter < heavier
    lighter = z_score_with_tails(mass, lms)
    heavier = z_score_with_tails(mass * factor, lms)
    assert lighter is not None
    assert heavier is not None
    assert lighter < heavier


@given(LMS, st.floats(-3, 3))
def test_there_and_back(lms: Lms, z: float) -> None:
    mass = value_at_z(z, lms)

    if mass is None:
        assert lms.power * lms.variation * z <= -1
        return
    assert z_score(mass, lms) == pytest.approx(z, abs=1e-6)


@given(LMS, st.sampled_from([-3, 3]))
def test_the_tails_begin_where_the_curve_ends(lms: Lms, z: int) -> None:
    mass = value_at_z(z, lms)
    if mass is None:
        return
    step = mass * 1e-7

    inside = z_score_with_tails(mass - step, lms)
    outside = z_score_with_tails(mass + step, lms)

    assert inside == pytest.approx(z, abs=1e-4)
    assert outside == pytest.approx(z, abs=1e-4)


@given(st.floats(0.1, 10), st.sampled_from([1e-13, 1e-11, 1e-9, 1e-7]))
def test_small_powers_run_into_the_logarithm(ratio: float, power: float) -> None:
    at_zero = z_score(20 * ratio, Lms(0, 20, 0.1))

    for sign in (-1, 1):
        near = z_score(20 * ratio, Lms(sign * power, 20, 0.1))
        assert near == pytest.approx(at_zero, rel=1e-6, abs=1e-9)


@given(st.floats(-6, 6))
def test_a_centile_goes_back_to_its_score(z: float) -> None:
    assert NormalDist().inv_cdf(centile(z) / 100) == pytest.approx(z, abs=1e-6)
