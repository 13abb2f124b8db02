"""Arithmetic of fluids, for a licensed vet who decides: no plan is made here.

Fluids given wrongly or too fast kill. What is computed here is what is multiplied on
paper: whether, how, how fast and what to give is a licensed vet's to say.
"""

from dataclasses import dataclass
from decimal import Decimal

GRAMS_PER_KG = Decimal(1000)
ML_PER_KG_FOR_ONE_PERCENT = Decimal(10)
HOURS_A_DAY = Decimal(24)
REPTILE_LOW_ML_PER_KG = Decimal(10)
REPTILE_HIGH_ML_PER_KG = Decimal(30)


@dataclass(frozen=True, slots=True)
class DailyFluid:
    """A range of mL for one day."""

    low_ml: Decimal
    high_ml: Decimal


def maintenance_a_day(
    *,
    mass_g: Decimal,
    low_ml_per_kg: Decimal = REPTILE_LOW_ML_PER_KG,
    high_ml_per_kg: Decimal = REPTILE_HIGH_ML_PER_KG,
) -> DailyFluid:
    """Return what a reptile needs in a day without any deficit.

    Args:
        mass_g: grams, above zero.
        low_ml_per_kg: for a day.
        high_ml_per_kg: for a day.

    Returns:
        mL a day, unrounded; of all ways together, drinking and food too.

    Raises:
        ValueError: no mass, or a range that cannot be.

    Source:
        lafeber-fluids: 10–30 mL/kg/day.
    """
    mass_kg = _kilograms(mass_g)
    if not 0 <= low_ml_per_kg <= high_ml_per_kg:
        raise ValueError(f"{low_ml_per_kg} to {high_ml_per_kg} mL/kg is no range.")
    return DailyFluid(mass_kg * low_ml_per_kg, mass_kg * high_ml_per_kg)


def deficit_ml(*, mass_g: Decimal, dehydration_pct: Decimal) -> Decimal:
    """Return what is missing: kg × % × 10.

    Args:
        mass_g: grams, above zero.
        dehydration_pct: as a licensed vet judged it, 0 to 15.

    Returns:
        mL, unrounded.

    Raises:
        ValueError: no mass, or a share that no living animal has.

    Source:
        wsava-2018; the upper end after aaha-fluids, where above 10 % is severe.
    """
    if not 0 <= dehydration_pct <= 15:
        raise ValueError(
            f"{dehydration_pct} % is not a degree of dehydration: 0 to 15 would be."
        )
    return _kilograms(mass_g) * dehydration_pct * ML_PER_KG_FOR_ONE_PERCENT


def rate_ml_per_hour(*, volume_ml: Decimal, hours: Decimal = HOURS_A_DAY) -> Decimal:
    """Return how much an hour spreads a volume evenly.

    Args:
        volume_ml: 0 or more.
        hours: above zero; a licensed vet says over how many.

    Returns:
        mL an hour, unrounded.

    Raises:
        ValueError: a volume or a time that cannot be.

    Source:
        vnj-2026.
    """
    if volume_ml < 0 or hours <= 0:
        raise ValueError(f"{volume_ml} mL cannot be spread over {hours} hours.")
    return volume_ml / hours


def _kilograms(mass_g: Decimal) -> Decimal:
    if not mass_g > 0:
        raise ValueError(f"A mass of {mass_g} g cannot be: it is more than 0 g.")
    return mass_g / GRAMS_PER_KG
