"""Whether an enclosure is large enough by a rule, and if not, in which dimension."""

from decimal import Decimal

from husbandry.rules.profiles.values import HousingRule


def too_small(
    rule: HousingRule, size_cm: tuple[Decimal, Decimal, Decimal]
) -> tuple[tuple[str, Decimal, Decimal], ...]:
    """Return which dimensions fall short of a rule.

    Args:
        rule: the least inner size.
        size_cm: width, depth and height; equal to the least is large enough. Width
            and depth may stand for each other: a floor can be turned.

    Returns:
        (dimension, what it is, what it must be), of whichever way of looking at
        the floor falls short least often; empty: it is large enough.

    Source:
        willems-dvm and barriervets (fixed sizes), barnard-1996 (multiples of the
        animal's length) disagree: so a rule is named with every answer.
    """
    width_cm, depth_cm, height_cm = size_cm
    straight, turned = (
        tuple(
            (name, is_cm, min_cm)
            for name, is_cm, min_cm in (
                ("width", floor_cm[0], rule.min_width_cm),
                ("depth", floor_cm[1], rule.min_depth_cm),
                ("height", height_cm, rule.min_height_cm),
            )
            if is_cm < min_cm
        )
        for floor_cm in ((width_cm, depth_cm), (depth_cm, width_cm))
    )
    return min(straight, turned, key=len)
