"""Whether a night has waited for its review longer than it should."""

GRACE_S = 2 * 3600
"""Nights are looked for every hour: after two hours one was missed twice."""


def is_overdue(*, ended_s: int, at_s: int) -> bool:
    """Say whether a local day without a review should have had one by now.

    Args:
        ended_s: when the day ended, epoch seconds.
        at_s: now; the grace itself is not overdue yet.

    Source:
        House rule, no source: the review is tried each hour.
    """
    return at_s - ended_s > GRACE_S
