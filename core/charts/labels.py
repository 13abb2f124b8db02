"""Where the names of several lines stand, so that none covers another."""

from collections.abc import Sequence


def spread(
    wanted: Sequence[float], *, apart: float, top: float, bottom: float
) -> tuple[float, ...]:
    """Move heights apart as little as needed from the top down.

    Args:
        wanted: heights in drawing units, which grow downwards; in any order.
        apart: least distance of two neighbours.
        top: least height allowed.
        bottom: greatest height allowed; where all of them do not fit between, they
            stand evenly and closer than `apart`.

    Returns:
        One height each, in the order given; the order from top to bottom is kept,
        and equal ones keep the order in which they were given.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    if len(order) > 1:
        apart = min(apart, (bottom - top) / (len(order) - 1))
    placed = [0.0] * len(wanted)
    least = top
    for index in order:
        placed[index] = max(wanted[index], least)
        least = placed[index] + apart
    greatest = bottom
    for index in reversed(order):
        placed[index] = min(placed[index], greatest)
        greatest = placed[index] - apart
    return tuple(placed)
