"""How heavy the demo's animals are: a growth curve, invented for the demo."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from math import exp

from demo.plans import NIGHTS

# A Gompertz curve from about 1 g at hatching to the grown animal's mass.
START = 4.77
RATE_PER_DAY = 0.00726
# What a full or an empty gut makes of a grown animal's mass, weighing by weighing.
GUT = (0.004, -0.003, 0.001, -0.004, 0.003)


def young_g(age_days: int, *, grown_g: float) -> Decimal:
    """Return the mass of a young animal that grows as it should.

    Args:
        age_days: since hatching, 0 or more.
        grown_g: what it will weigh when it is grown.

    Returns:
        Grams, to a hundredth below 20 g and to a tenth above.
    """
    return _shown(grown_g * exp(-START * exp(-RATE_PER_DAY * age_days)))


def growing(
    nights: Iterable[int], *, age_days: int, grown_g: float
) -> tuple[tuple[int, Decimal], ...]:
    """Return the weighings of a young animal on some nights.

    Args:
        nights: on which it was weighed.
        age_days: on the last night of the demo.
        grown_g: what it will weigh when it is grown.
    """
    return tuple(
        (night, young_g(age_days - (NIGHTS - night), grown_g=grown_g))
        for night in nights
    )


def steady(
    nights: Iterable[int], *, mass_g: float, gain_pct_per_night: float = 0
) -> tuple[tuple[int, Decimal], ...]:
    """Return the weighings of a grown animal on some nights.

    Args:
        nights: on which it was weighed.
        mass_g: about what it weighs on the last night.
        gain_pct_per_night: of a female that carries eggs.
    """
    return tuple(
        (
            night,
            _shown(
                mass_g
                * (1 + GUT[place % len(GUT)])
                * (1 - gain_pct_per_night / 100 * (NIGHTS - night))
            ),
        )
        for place, night in enumerate(nights)
    )


def with_masses(
    weighed: Iterable[tuple[int, Decimal]], changed: Mapping[int, str]
) -> tuple[tuple[int, Decimal], ...]:
    """Return weighings with other masses on some nights."""
    return tuple(
        (night, Decimal(changed.get(night, mass_g))) for night, mass_g in weighed
    )


def _shown(mass_g: float) -> Decimal:
    return Decimal(f"{mass_g:.2f}" if mass_g < 20 else f"{mass_g:.1f}")
