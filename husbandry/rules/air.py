"""Water in air: what a humidity means at a temperature.

Sixty per cent at 20 °C and at 30 °C are not the same dryness; these figures say so,
and tell a reading that air cannot give.

Source:
    wmo-8 in docs/sources.md: Annex 4.B, the Magnus form for water, −45 to 60 °C.
    Within 0.5 % of tabulated saturation pressures from 5 to 40 °C.
"""

import math

MAGNUS_HPA = 6.112
MAGNUS_SLOPE = 17.62
MAGNUS_C = 243.12
_GRAMS_KELVIN_PER_HPA = 216.67  # over water vapour's gas constant, 461.5 J/(kg·K)
_KELVIN_AT_0_C = 273.15
_COLDEST_C, _HOTTEST_C = -45, 60


def saturation_pressure_hpa(temperature_c: float) -> float:
    """Return the pressure of water vapour in saturated air.

    Args:
        temperature_c: −45 to 60 °C, over water also below 0 °C.

    Raises:
        ValueError: outside the range for which the form is given.

    Source:
        wmo-8
    """
    if not _COLDEST_C <= temperature_c <= _HOTTEST_C:
        raise ValueError(
            f"{temperature_c} °C is outside the range of the formula; give "
            f"{_COLDEST_C} to {_HOTTEST_C} °C."
        )
    return MAGNUS_HPA * math.exp(
        MAGNUS_SLOPE * temperature_c / (MAGNUS_C + temperature_c)
    )


def vapour_pressure_hpa(temperature_c: float, humidity_pct: float) -> float:
    """Return the pressure of the water vapour that is in the air.

    Args:
        temperature_c: −45 to 60 °C.
        humidity_pct: relative humidity, 0 to 100 %.

    Raises:
        ValueError: air has no such humidity, or the formula no such temperature.

    Source:
        wmo-8
    """
    if not 0 <= humidity_pct <= 100:
        raise ValueError(f"{humidity_pct} % is no relative humidity; give 0 to 100 %.")
    return saturation_pressure_hpa(temperature_c) * humidity_pct / 100


def dew_point_c(temperature_c: float, humidity_pct: float) -> float:
    """Return the temperature at which dew begins to form.

    Args:
        temperature_c: −45 to 60 °C.
        humidity_pct: above 0, up to 100 %.

    Raises:
        ValueError: perfectly dry air has no dew point; no such air.

    Source:
        wmo-8
    """
    pressure_hpa = vapour_pressure_hpa(temperature_c, humidity_pct)
    if pressure_hpa == 0:
        raise ValueError("Air of 0 % has no dew point; give a humidity above 0 %.")
    share = math.log(pressure_hpa / MAGNUS_HPA)
    return MAGNUS_C * share / (MAGNUS_SLOPE - share)


def vapour_pressure_deficit_kpa(temperature_c: float, humidity_pct: float) -> float:
    """Return how much more vapour the air could take: how fast it dries things.

    Args:
        temperature_c: −45 to 60 °C.
        humidity_pct: relative humidity, 0 to 100 %.

    Raises:
        ValueError: no such air.

    Source:
        wmo-8
    """
    present_hpa = vapour_pressure_hpa(temperature_c, humidity_pct)
    # Saturated air takes up nothing; a rounding error must not say less than that.
    return max(saturation_pressure_hpa(temperature_c) - present_hpa, 0.0) / 10


def absolute_humidity_g_per_m3(temperature_c: float, humidity_pct: float) -> float:
    """Return how much water a cubic metre of air holds.

    Args:
        temperature_c: −45 to 60 °C.
        humidity_pct: relative humidity, 0 to 100 %.

    Raises:
        ValueError: no such air.

    Source:
        wmo-8
    """
    pressure_hpa = vapour_pressure_hpa(temperature_c, humidity_pct)
    return _GRAMS_KELVIN_PER_HPA * pressure_hpa / (_KELVIN_AT_0_C + temperature_c)


def humidity_from_dew_point_pct(temperature_c: float, dew_c: float) -> float:
    """Return the relative humidity of air whose dew point is known.

    Args:
        temperature_c: −45 to 60 °C.
        dew_c: −45 °C to the temperature.

    Raises:
        ValueError: a dew point above the temperature, which air cannot have.

    Source:
        wmo-8
    """
    check_dew_point(temperature_c, dew_c)
    return 100 * saturation_pressure_hpa(dew_c) / saturation_pressure_hpa(temperature_c)


def check_dew_point(temperature_c: float, dew_c: float) -> None:
    """Refuse a dew point that lies above the temperature.

    Args:
        temperature_c: of the air.
        dew_c: that an instrument reports with it.

    Raises:
        ValueError: air cannot have it; one of the two readings is wrong.

    Source:
        wmo-8
    """
    if dew_c > temperature_c:
        raise ValueError(
            f"A dew point of {dew_c} °C in air of {temperature_c} °C cannot be: it is "
            f"at most the temperature. One of the two readings is wrong."
        )
