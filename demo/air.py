"""Water vapour in air, for the demo's climate."""

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.air import MAGNUS_C, MAGNUS_HPA, MAGNUS_SLOPE

Floats = NDArray[np.float64]

# g of water per m³ and hPa of vapour pressure, times kelvin: the molar mass of
# water over the gas constant, 18.015 g/mol / 8.314 J/(mol K) × 100 Pa/hPa.
GRAM_KELVIN_PER_HPA_M3 = 216.68
KELVIN = 273.15


def saturation_hpa(air_c: Floats) -> Floats:
    """Return the vapour pressure at which air is saturated over water.

    Args:
        air_c: air temperature in °C, any shape, −45…60.

    Returns:
        hPa, the same shape.

    Source:
        wmo-8: the Magnus form, 6.112·exp(17.62 t / (243.12 + t)).
    """
    return MAGNUS_HPA * np.exp(MAGNUS_SLOPE * air_c / (MAGNUS_C + air_c))


def saturation_g_m3(air_c: Floats) -> Floats:
    """Return how much vapour a cubic metre of saturated air holds, in grams.

    Source:
        wmo-8, and the gas law.
    """
    return GRAM_KELVIN_PER_HPA_M3 * saturation_hpa(air_c) / (air_c + KELVIN)


def relative_humidity_pct(vapour_g_m3: Floats, air_c: Floats) -> Floats:
    """Return relative humidity in percent, never above saturation.

    Args:
        vapour_g_m3: absolute humidity, 0 or more.
        air_c: air temperature in °C.
    """
    share = vapour_g_m3 / saturation_g_m3(air_c)
    return 100 * np.minimum(share, 1.0)
