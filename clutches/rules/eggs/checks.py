"""Whether somebody can have looked at an egg as is said."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clutches.rules.eggs.states import EggError
from clutches.rules.vocabulary import Candled

LARGEST_G = Decimal(500)
STEP_G = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class EggInTime:
    """From when until when an egg can be looked at; both days count.

    Attributes:
        ended_on: local day on which it hatched or failed; None: it has not.
    """

    label: str
    laid_on: date
    ended_on: date | None


def check_look(egg: EggInTime, *, on: date) -> None:
    """Refuse a look at an egg before it was laid or after it ended.

    Raises:
        EggError: with the day that would be accepted.
    """
    label = egg.label[:1].upper() + egg.label[1:]
    if on < egg.laid_on:
        raise EggError(
            f"{label} was laid on {egg.laid_on:%d %b %Y}; nobody can have looked at it "
            f"on {on:%d %b %Y}.",
            fields={"at": f"from {egg.laid_on} on"},
        )
    if egg.ended_on is not None and on > egg.ended_on:
        raise EggError(
            f"{label} ended on {egg.ended_on:%d %b %Y}; nobody can have looked at it on "
            f"{on:%d %b %Y}. If it had not ended, mend the egg first.",
            fields={"at": f"until {egg.ended_on}"},
        )


def round_egg_mass(
    mass_g: Decimal | None, *, seen: Candled | None, label: str
) -> Decimal | None:
    """Return the mass of an egg as it is kept, to 0.001 g; None: not weighed.

    Args:
        mass_g: more than 0, at most 500 g.
        seen: what was seen against a light; None: not candled.
        label: which egg.

    Raises:
        EggError: neither is given, or no egg has that mass.

    Source:
        House rule: more than 500 g is taken for a slip of the hand or the unit.
    """
    if mass_g is None:
        if seen is None:
            raise EggError(
                f"Nothing is said of {label}: give what was seen against the light, "
                "its mass, or both.",
                fields={"seen": ", ".join(Candled), "mass_g": "a mass in grams"},
            )
        return None
    if not mass_g.is_finite() or not STEP_G <= mass_g <= LARGEST_G:
        raise EggError(
            f"A mass of {mass_g} g for {label} cannot be; give {STEP_G} to "
            f"{LARGEST_G} g.",
            fields={"mass_g": f"{STEP_G} to {LARGEST_G}"},
        )
    return mass_g.quantize(STEP_G)
