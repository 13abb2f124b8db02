"""Formulas of figures, each by the name under which it was published."""

from dataclasses import dataclass
from math import exp, lgamma, log

from clutches.rules.statistics import Share, wilson

LEVEL = 0.95
HALVINGS = 80
# Terms that are smaller than this beside their sum change nothing.
NOTHING = 1e-18


@dataclass(frozen=True, slots=True)
class Rate:
    """Events in so many days, a day; with the interval of the true rate."""

    count: int
    days: int
    low: float
    high: float

    @property
    def value(self) -> float:
        """Return the rate a day."""
        return self.count / self.days


def live_release_by_accord(*, live: int, outcomes: int, asked: int) -> Share:
    """Return the live release rate as agreed in the Asilomar Accords of 2004.

    Args:
        live: outcomes by which an animal left alive.
        outcomes: all that the accord counts: live ones and those put to sleep. What
            died or was lost in care is not among them.
        asked: of these, put to sleep because the owner asked for it, and not treatable.

    Returns:
        With Wilson's interval.

    Raises:
        ValueError: more live ones than outcomes are left.

    Source:
        asilomar-2004; wilson-1927 for the interval.
    """
    return wilson(live, outcomes - asked)


def live_release_by_intake(*, live: int, intake: int) -> float | None:
    """Return live outcomes by intake; it can be more than 1.

    It compares two different sets of animals, so it is no share and has no interval.

    Args:
        live: outcomes of a period by which an animal left alive.
        intake: animals that came in that period; 0: None is returned.

    Source:
        live-release-by-intake.
    """
    return live / intake if intake else None


def days_stayed(began: int, ended: int) -> int:
    """Return the length of one stay in days; the same day counts 1.

    Args:
        began: day number of the intake.
        ended: day number of the outcome, not before it.

    Source:
        length-of-stay.
    """
    return max(ended - began, 1)


def length_of_stay(*, animal_days: int, exits: int) -> float | None:
    """Return the length of stay as animal-days by exits of the same period.

    Args:
        animal_days: of all in charge.
        exits: how many left; 0: None is returned.

    Source:
        length-of-stay.
    """
    return animal_days / exits if exits else None


def capacity_needed(*, intake_a_day: float, days: float) -> float:
    """Return how many animals there are at a time, if each stays so long.

    Args:
        intake_a_day: how many come.
        days: how long each stays.

    Source:
        capacity-for-care.
    """
    return intake_a_day * days


def daily_rate(count: int, days: int, *, level: float = LEVEL) -> Rate:
    """Return a rate a day with the exact interval of a Poisson count.

    Args:
        count: how many times, 0 or more.
        days: in so many days, 1 or more.
        level: more than 0, less than 1.

    Raises:
        ValueError: a negative count, or no day.

    Source:
        garwood-1936.
    """
    if count < 0 or days < 1:
        raise ValueError("Give a count of 0 or more and at least one day.")
    tail = (1 - level) / 2
    low = _mean_at(count - 1, 1 - tail) if count else 0.0
    return Rate(count, days, low / days, _mean_at(count, tail) / days)


def _mean_at(count: int, share: float) -> float:
    """Return the mean of which so large a share of counts is at most this one."""
    low, high = 0.0, 2.0 * count + 20.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _at_most(count, middle) > share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _at_most(count: int, mean: float) -> float:
    """Return how likely a Poisson count is at most so large.

    The side is added up on which terms fall from the first on.
    """
    if mean <= count:
        return 1.0 - _tail(count + 1, mean, step=1)
    return _tail(count, mean, step=-1)


def _tail(start: int, mean: float, *, step: int) -> float:
    k, total = start, 0.0
    term = exp(k * log(mean) - mean - lgamma(k + 1))
    while k >= 0 and term > NOTHING * total:
        total += term
        term *= mean / (k + 1) if step > 0 else k / mean
        k += step
    return total
