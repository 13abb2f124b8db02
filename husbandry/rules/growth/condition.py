"""Mass by length: one animal's condition over time, and nothing more.

No condition score of a chameleon has been validated. The index is not compared
between animals, has no limit and makes no finding: a vet or keeper reads from it
whether this one animal became leaner or heavier for its length.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal

from husbandry.rules.weights import WeighingPoint

NO_VALIDATED_SCORE = (
    "Grams by centimetre of snout to vent, for one animal over time only: no "
    "condition score has been validated for this animal."
)
FARTHEST = timedelta(days=7)
STEP = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class LengthPoint:
    """One measuring from snout to vent."""

    at: datetime
    snout_vent_cm: Decimal


@dataclass(frozen=True, slots=True)
class ConditionPoint:
    """A length with the weighing nearest to it, and the index of both."""

    measured_at: datetime
    snout_vent_cm: Decimal
    weighed_at: datetime
    mass_g: Decimal
    g_per_cm: Decimal


def condition_index(*, mass_g: Decimal, snout_vent_cm: Decimal) -> Decimal:
    """Return mass by snout-vent length in grams by centimetre, to 0.001.

    Args:
        mass_g: above zero.
        snout_vent_cm: from the tip of the snout to the vent, above zero.

    Raises:
        ValueError: one of them is not a number above zero.

    Source:
        condition-2020: of five indices the one that told the body's fat best, in
        another lizard. No validated score exists for chameleons.
    """
    for name, value in (("mass_g", mass_g), ("snout_vent_cm", snout_vent_cm)):
        if not value.is_finite() or value <= 0:
            raise ValueError(f"{name} is {value}; it must be a number above zero.")
    return (mass_g / snout_vent_cm).quantize(STEP, ROUND_HALF_EVEN)


def condition_points(
    lengths: Sequence[LengthPoint], weighings: Sequence[WeighingPoint]
) -> tuple[ConditionPoint, ...]:
    """Pair each length with the weighing nearest to it in time.

    Args:
        lengths: of one animal, in any order.
        weighings: of the same animal, in any order; those that another one corrects
            are left out.

    Returns:
        In the order of measuring. A length without a weighing within seven days is
        left out; of two equally near weighings the earlier counts.

    Source:
        condition-2020. The seven days are a House rule: a convention.
    """
    corrected = {w.corrects for w in weighings if w.corrects is not None}
    valid = sorted(
        (w for w in weighings if w.id not in corrected), key=lambda w: (w.at, w.id)
    )
    found = []
    for length in sorted(lengths, key=lambda point: point.at):
        weighing = _nearest(valid, length.at)
        if weighing is not None:
            found.append(_point(length, weighing))
    return tuple(found)


def _nearest(weighings: list[WeighingPoint], at: datetime) -> WeighingPoint | None:
    place = bisect_left(weighings, at, key=lambda w: w.at)
    beside = weighings[max(place - 1, 0) : place + 1]
    near = [w for w in beside if abs(w.at - at) <= FARTHEST]
    return min(near, key=lambda w: abs(w.at - at), default=None)


def _point(length: LengthPoint, weighing: WeighingPoint) -> ConditionPoint:
    return ConditionPoint(
        measured_at=length.at,
        snout_vent_cm=length.snout_vent_cm,
        weighed_at=weighing.at,
        mass_g=weighing.mass_g,
        g_per_cm=condition_index(
            mass_g=weighing.mass_g, snout_vent_cm=length.snout_vent_cm
        ),
    )
