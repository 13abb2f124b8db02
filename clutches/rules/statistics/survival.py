"""How long things last: Kaplan and Meier's course, and whether two courses differ."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, nan, sqrt
from statistics import NormalDist

import numpy as np

from clutches.rules.statistics.chi_square import upper_tail

LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class Step:
    """What is known right after one instant at which something ended.

    Attributes:
        at: the time.
        at_risk: how many were watched until then.
        ended: how many of them ended then.
        surviving: share that lasts longer, 0 to 1.
        error: Greenwood's standard error of that share; NaN once none is left.
        low, high: interval of the share on the scale log(−log), 0 to 1.
    """

    at: float
    at_risk: int
    ended: int
    surviving: float
    error: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Course:
    """How the share that lasts falls over time.

    Attributes:
        watched: how many were watched.
        ended: how many ended while they were.
        longest: the longest time that anything was watched.
        steps: in order; none where nothing ended.
    """

    watched: int
    ended: int
    longest: float
    level: float
    steps: tuple[Step, ...]

    def at(self, time: float) -> Step | None:
        """Return the last step until a time; None: nothing has ended by then."""
        return next((s for s in reversed(self.steps) if s.at <= time), None)

    def surviving(self, time: float) -> float | None:
        """Return the share that lasts longer than a time; None: nobody was watched.

        Beyond the longest time anything was watched nothing can be said: None, unless
        all had ended by then.
        """
        step = self.at(time)
        share = 1.0 if step is None else step.surviving
        return None if time > self.longest and share > 0 else share

    @property
    def median(self) -> float | None:
        """Return the first time at which half or less lasts; None: not reached."""
        return next((s.at for s in self.steps if s.surviving <= 0.5), None)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Whether courses differ.

    Attributes:
        observed: how many ended in each group.
        expected: how many would have, did the groups not differ.
        chi_square: of the log-rank test.
        freedom: groups less one.
        p: how likely so large a difference is by chance.
    """

    observed: tuple[int, ...]
    expected: tuple[float, ...]
    chi_square: float
    freedom: int
    p: float


def kaplan_meier(
    times: Sequence[float], ended: Sequence[bool], *, level: float = LEVEL
) -> Course:
    """Return how the share that lasts falls over time.

    Args:
        times: how long each was watched, 0 or more, in any order.
        ended: whether it ended then; otherwise it was only not watched any longer,
            which counts as after all that ended at the same time.
        level: of the intervals.

    Raises:
        ValueError: not as many of one as of the other, or a negative time.

    Source:
        kaplan-meier-1958; greenwood-1926 for the error; the interval on the scale
        log(−log), which stays inside 0 to 1 (kalbfleisch-prentice).
    """
    _check(times, ended)
    z = NormalDist().inv_cdf(0.5 + level / 2)
    order = np.array(times, np.float64)
    over = np.array(ended, np.bool_)
    steps = []
    surviving, variance = 1.0, 0.0
    for at in np.unique(order[over]):
        at_risk = int((order >= at).sum())
        gone = int((over & (order == at)).sum())
        surviving *= 1 - gone / at_risk
        left = at_risk - gone
        variance = variance + gone / (at_risk * left) if left else nan
        low, high = _interval(surviving, variance, z)
        steps.append(
            Step(
                at=float(at),
                at_risk=at_risk,
                ended=gone,
                surviving=surviving,
                error=surviving * sqrt(variance) if left else nan,
                low=low,
                high=high,
            )
        )
    longest = float(order.max()) if len(order) else 0.0
    return Course(len(order), int(over.sum()), longest, level, tuple(steps))


def _interval(surviving: float, variance: float, z: float) -> tuple[float, float]:
    if surviving <= 0:
        return 0.0, 1.0
    reach = z * sqrt(variance) / log(surviving)
    return surviving ** exp(-reach), surviving ** exp(reach)


def log_rank(groups: Sequence[tuple[Sequence[float], Sequence[bool]]]) -> Comparison:
    """Say whether two or more groups last differently long.

    Args:
        groups: of each its times and whether they ended, as for `kaplan_meier`.

    Returns:
        With chi-square 0 and p 1 where nothing ended, or where the groups cannot
        differ because only one was watched while anything ended.

    Raises:
        ValueError: fewer than two groups, or as in `kaplan_meier`.

    Source:
        mantel-1966; the covariance is the hypergeometric one.
    """
    if len(groups) < 2:
        raise ValueError("A comparison needs at least two groups.")
    for times, ended in groups:
        _check(times, ended)
    time = np.concatenate([np.asarray(t, np.float64) for t, _ in groups])
    over = np.concatenate([np.asarray(e, np.bool_) for _, e in groups])
    which = np.repeat(np.arange(len(groups)), [len(t) for t, _ in groups])
    observed = np.zeros(len(groups))
    expected = np.zeros(len(groups))
    covariance = np.zeros((len(groups), len(groups)))
    for at in np.unique(time[over]):
        at_risk = np.bincount(which[time >= at], minlength=len(groups))
        gone = np.bincount(which[over & (time == at)], minlength=len(groups))
        n, d = at_risk.sum(), gone.sum()
        share = at_risk / n
        observed += gone
        expected += d * share
        if n > 1:
            spread = d * (n - d) / (n - 1)
            covariance += spread * (np.diag(share) - np.outer(share, share))
    beyond = (observed - expected)[:-1]
    inverse = np.linalg.pinv(covariance[:-1, :-1], hermitian=True)
    chi_square = max(float(beyond @ inverse @ beyond), 0.0)
    freedom = len(groups) - 1
    return Comparison(
        observed=tuple(int(o) for o in observed),
        expected=tuple(float(e) for e in expected),
        chi_square=chi_square,
        freedom=freedom,
        p=upper_tail(chi_square, freedom=freedom),
    )


def _check(times: Sequence[float], ended: Sequence[bool]) -> None:
    if len(times) != len(ended):
        raise ValueError(
            f"{len(times)} times and {len(ended)} endings; give as many of both."
        )
    if any(time < 0 for time in times):
        raise ValueError("A time is negative; give 0 or more.")
