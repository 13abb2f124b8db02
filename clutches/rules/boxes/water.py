"""How much water is in a box, as far as weighing tells.

Water is told by mass against the dry substrate, as keepers mix it. That ratio is no
water potential: how tightly a substrate holds its water depends on the substrate, and
only the potential can be held against a published figure.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

RATIO_STEP = Decimal("0.01")
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class BoxLook:
    """One check of a box in force: weighed before watering, and what was added.

    Attributes:
        mass_g: of the box with all that is in it; None: not weighed.
        water_g: that was added after weighing; None: none.
    """

    at: datetime
    mass_g: Decimal | None
    water_g: Decimal | None


@dataclass(frozen=True, slots=True)
class Loss:
    """What a box lost between two weighings; less than 0: it gained.

    Attributes:
        lost_g: None: eggs came or went between, so the masses do not tell.
    """

    from_at: datetime
    until_at: datetime
    lost_g: Decimal | None


@dataclass(frozen=True, slots=True)
class WaterBalance:
    """What weighing tells of the water in a box.

    Attributes:
        losses: from weighing to weighing, oldest first.
        lost_g: all that is known to be lost since the first weighing; None: it was
            not weighed twice with the same eggs in it.
        make_up_g: what brings it back to what it weighed first, as far as that is
            known: what was lost less what was added since the first weighing. 0
            where more was added than lost; None as `lost_g`.
        added_g: water that was added at checks, all together.
        unknown: how many of the losses are not known.
    """

    losses: tuple[Loss, ...]
    lost_g: Decimal | None
    make_up_g: Decimal | None
    added_g: Decimal
    unknown: int

    @property
    def since_last(self) -> Loss | None:
        """Return the loss between the last two weighings; None: not weighed twice."""
        return self.losses[-1] if self.losses else None


def mass_ratio(
    *, water_g: Decimal | None, substrate_g: Decimal | None
) -> Decimal | None:
    """Return grams of water for one gram of dry substrate, to 0.01.

    Args:
        water_g: with which the box was made up; None: not weighed.
        substrate_g: dry, more than 0; None: not weighed.

    Returns:
        Such as 0.80, said "0.8 : 1"; None where either was not weighed.

    Source:
        substrate-water: a mass ratio is no water potential.
    """
    if water_g is None or not substrate_g:
        return None
    return (water_g / substrate_g).quantize(RATIO_STEP)


def water_balance(
    looks: Sequence[BoxLook], *, eggs_changed_at: Collection[datetime]
) -> WaterBalance:
    """Return what the checks of a box tell of its water.

    An egg that came or went changes the mass of the box, and by how much is not on
    record: what was lost between the weighings around it is said to be not known.

    Args:
        looks: in force, in any order.
        eggs_changed_at: the instants at which eggs were put in or taken out.

    Returns:
        The balance; empty without two weighings.

    Source:
        House rule: the mass that a box loses while nothing else changes is water.
    """
    ordered = sorted(looks, key=lambda look: look.at)
    losses: list[Loss] = []
    before: BoxLook | None = None
    poured_g, missing_g = NOTHING, NOTHING  # poured: since the last weighing
    for look in ordered:
        if look.mass_g is not None:
            if before is not None and before.mass_g is not None:
                moved = any(before.at < at <= look.at for at in eggs_changed_at)
                lighter_g = before.mass_g - look.mass_g
                lost_g = None if moved else lighter_g + poured_g
                losses.append(Loss(before.at, look.at, lost_g))
                # What was poured while eggs moved is as little known as what went.
                missing_g += NOTHING if moved else lighter_g
            before, poured_g = look, NOTHING
        poured_g += look.water_g or NOTHING
    known = [loss.lost_g for loss in losses if loss.lost_g is not None]
    return WaterBalance(
        losses=tuple(losses),
        lost_g=sum(known, NOTHING) if known else None,
        make_up_g=max(missing_g - poured_g, NOTHING) if known else None,
        added_g=sum((look.water_g or NOTHING for look in ordered), NOTHING),
        unknown=len(losses) - len(known),
    )
