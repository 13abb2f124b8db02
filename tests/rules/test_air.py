"""Water in air against published tables and a reference library.

Sources: docs/sources.md, wmo-8 (the formula), ashrae-2017 and crc-handbook (tables
of saturation), fao-56 (its worked example, from memory). What says "computed" was
worked out from the formula by hand and holds the code to it.
"""

import math

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.air import (
    absolute_humidity_g_per_m3,
    check_dew_point,
    dew_point_c,
    humidity_from_dew_point_pct,
    saturation_pressure_hpa,
    vapour_pressure_deficit_kpa,
    vapour_pressure_hpa,
)

TEMPERATURES = st.floats(-10, 60)
HUMIDITIES = st.floats(1, 100)


@pytest.fixture(autouse=True)
def _si_units() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


# ashrae-2017, chapter 1, as carried by psychrolib's tests; below 0 °C the table is
# over ice and the Magnus form over water, so −5 °C is compared apart.
@pytest.mark.parametrize(
    ("temperature_c", "pascal"), [(5, 872.6), (25, 3169.7), (50, 12351.3)]
)
def test_saturation_pressure_is_ashraes(temperature_c: float, pascal: float) -> None:
    assert saturation_pressure_hpa(temperature_c) * 100 == pytest.approx(
        pascal, rel=0.005
    )


def test_saturation_pressure_below_freezing_is_over_water() -> None:
    assert saturation_pressure_hpa(-5) * 100 > 401.74  # ashrae-2017, over ice


CRC_TABLE = [
    (10, 12.28, 9.42),
    (20, 23.40, 17.33),
    (22, 26.45, 19.46),
    (24, 29.86, 21.83),
    (26, 33.65, 24.43),
    (28, 37.84, 27.29),
    (30, 42.48, 30.43),
    (32, 47.60, 33.87),
    (34, 53.26, 37.66),
]


# crc-handbook: hPa (as mbar) and g/m³ of saturated air.
@pytest.mark.parametrize(("temperature_c", "hpa", "g_per_m3"), CRC_TABLE)
def test_saturated_air_is_the_handbooks(
    temperature_c: float, hpa: float, g_per_m3: float
) -> None:
    assert saturation_pressure_hpa(temperature_c) == pytest.approx(hpa, rel=0.005)
    assert absolute_humidity_g_per_m3(temperature_c, 100) == pytest.approx(
        g_per_m3, rel=0.01
    )


# medical-humidity-table: mg/L, which is g/m³.
@pytest.mark.parametrize(
    ("temperature_c", "g_per_m3"), [(25, 23.0), (35, 39.6), (40, 51.1)]
)
def test_saturated_air_is_the_medical_tables(
    temperature_c: float, g_per_m3: float
) -> None:
    assert absolute_humidity_g_per_m3(temperature_c, 100) == pytest.approx(
        g_per_m3, rel=0.01
    )


def test_ashrae_example_has_its_dew_point() -> None:
    # ashrae-2017, example 1: 40 °C dry, 20 °C wet: 14 %, dew point 7 °C.
    assert dew_point_c(40, 14) == pytest.approx(7, abs=1)
    assert humidity_from_dew_point_pct(40, 7) == pytest.approx(14, abs=1)


@pytest.mark.parametrize(  # computed
    ("temperature_c", "humidity_pct", "dew_c"),
    [(20, 50, 9.26), (25, 50, 13.85), (25, 60, 16.69), (30, 80, 26.17)],
)
def test_dew_point(temperature_c: float, humidity_pct: float, dew_c: float) -> None:
    assert dew_point_c(temperature_c, humidity_pct) == pytest.approx(dew_c, abs=0.02)


@pytest.mark.parametrize(  # computed
    ("temperature_c", "humidity_pct", "deficit_kpa"),
    [
        (20, 50, 1.166),
        (25, 50, 1.580),
        (30, 50, 2.117),
        (24, 80, 0.595),
        (22, 90, 0.264),
        (20, 60, 0.933),
        (30, 60, 1.693),
        (30, 100, 0),
    ],
)
def test_vapour_pressure_deficit(
    temperature_c: float, humidity_pct: float, deficit_kpa: float
) -> None:
    found = vapour_pressure_deficit_kpa(temperature_c, humidity_pct)

    assert found == pytest.approx(deficit_kpa, abs=0.002)


def test_same_humidity_is_not_the_same_dryness() -> None:
    warm = vapour_pressure_deficit_kpa(30, 60)
    cool = vapour_pressure_deficit_kpa(20, 60)

    assert warm / cool == pytest.approx(1.815, abs=0.01)


def test_magnus_agrees_with_fao_56_at_15_c() -> None:
    # fao-56 uses other constants: 0.6108·exp(17.27·t/(t + 237.3)), 1.7053 kPa.
    assert saturation_pressure_hpa(15) / 10 == pytest.approx(1.7053, rel=0.005)


def test_day_of_fao_56_has_its_deficit() -> None:
    # fao-56, example 5, from memory: 18–25 °C, 82 % and 54 %: ea 1.70, es 2.62,
    # deficit 0.91 kPa.
    present = (vapour_pressure_hpa(18, 82) + vapour_pressure_hpa(25, 54)) / 20
    possible = (saturation_pressure_hpa(18) + saturation_pressure_hpa(25)) / 20

    assert present == pytest.approx(1.70, abs=0.01)
    assert possible == pytest.approx(2.62, abs=0.02)  # other constants
    assert possible - present == pytest.approx(0.91, abs=0.01)


@given(st.floats(5, 40), st.floats(10, 100))
def test_air_is_that_of_the_reference_library(
    temperature_c: float, humidity_pct: float
) -> None:
    share = humidity_pct / 100
    expected_pa = psychrolib.GetVapPresFromRelHum(temperature_c, share)
    expected_dew_c = psychrolib.GetTDewPointFromRelHum(temperature_c, share)

    found_hpa = vapour_pressure_hpa(temperature_c, humidity_pct)
    assert found_hpa * 100 == pytest.approx(expected_pa, rel=0.005)
    if expected_dew_c > 0:  # below, the library takes ice
        assert dew_point_c(temperature_c, humidity_pct) == pytest.approx(
            expected_dew_c, abs=0.1
        )


@given(TEMPERATURES, HUMIDITIES)
def test_dew_point_never_lies_above_the_temperature(
    temperature_c: float, humidity_pct: float
) -> None:
    assert dew_point_c(temperature_c, humidity_pct) <= temperature_c + 1e-9


@given(st.floats(0, 60), HUMIDITIES)
def test_humidity_comes_back_from_the_dew_point(
    temperature_c: float, humidity_pct: float
) -> None:
    dew_c = min(dew_point_c(temperature_c, humidity_pct), temperature_c)
    if dew_c < -45:
        return

    back = humidity_from_dew_point_pct(temperature_c, dew_c)

    assert math.isclose(back, humidity_pct, rel_tol=1e-9)


@given(TEMPERATURES, HUMIDITIES, HUMIDITIES)
def test_damper_air_dries_less(temperature_c: float, one: float, two: float) -> None:
    low, high = sorted((one, two))

    dry = vapour_pressure_deficit_kpa(temperature_c, low)
    damp = vapour_pressure_deficit_kpa(temperature_c, high)
    assert dry >= damp >= 0


def test_dew_point_at_the_temperature_is_taken() -> None:
    check_dew_point(21.5, 21.5)


def test_dew_point_above_the_temperature_is_refused_with_both_numbers() -> None:
    with pytest.raises(ValueError, match=r"22\.1 °C in air of 21\.5 °C cannot be"):
        check_dew_point(21.5, 22.1)


@pytest.mark.parametrize("humidity_pct", [-0.1, 100.1])
def test_humidity_that_air_cannot_have_is_refused(humidity_pct: float) -> None:
    with pytest.raises(ValueError, match="give 0 to 100 %"):
        vapour_pressure_hpa(20, humidity_pct)


@pytest.mark.parametrize("temperature_c", [-45.1, 60.1])
def test_temperature_outside_the_formula_is_refused(temperature_c: float) -> None:
    with pytest.raises(ValueError, match="give -45 to 60 °C"):
        saturation_pressure_hpa(temperature_c)


def test_perfectly_dry_air_has_no_dew_point() -> None:
    with pytest.raises(ValueError, match="no dew point"):
        dew_point_c(20, 0)
