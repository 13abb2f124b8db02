"""How long things last: Kaplan and Meier's course, and whether two courses differ."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, nan, sqrt
from statistics import NormalDist

import numpy as np

from clutches.rules.statistics.chi_square import upper_tail
from clutches.rules.statistics.proportions import clopper_pearson

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
        low, high: interval of the share on the scale log(−log), 0 to 1; once none is
            left, see `kaplan_meier`.
    """

    at: float
    at_risk: int
    ended: int
    surviving: float
    error: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Lasting:
    """What is known of one time.

    Attributes:
        surviving: share that lasts longer, 0 to 1.
        low, high: its interval.
        at_risk: how many were watched for at least so long.
    """

    surviving: float
    low: float
    high: float
    at_risk: int


@dataclass(frozen=True, slots=True)
class Course:
    """How the share that lasts falls over time.

    Attributes:
        times: how long each was watched, the shortest first.
        ended: how many ended while they were.
        level: of the intervals.
        steps: in order; none where nothing ended.
    """

    times: tuple[float, ...]
    ended: int
    level: float
    steps: tuple[Step, ...]

    @property
    def watched(self) -> int:
        """Return how many were watched."""
        return len(self.times)

    @property
    def longest(self) -> float:
        """Return the longest time that anything was watched; 0 of nothing."""
        return self.times[-1] if self.times else 0.0

    def at(self, time: float) -> Lasting | None:
        """Return the share that lasts longer than a time; None: nothing is known.

        Beyond the longest time anything was watched nothing can be said, unless all
        had ended by then. Before anything ended the interval is the exact one of
        those who were watched for so long, for the scale log(−log) has none there.

        Args:
            time: 0 or more.

        Source:
            clopper-pearson-1934, where nothing has ended yet.
        """
        at_risk = len(self.times) - bisect_left(self.times, time)
        step = next((s for s in reversed(self.steps) if s.at <= time), None)
        if not at_risk and (step is None or step.surviving > 0):
            return None
        if step is None:
            low = clopper_pearson(at_risk, at_risk, level=self.level).low
            return Lasting(1.0, low, 1.0, at_risk)
        return Lasting(step.surviving, step.low, step.high, at_risk)

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
        ValueError: not as many of one as of the other, or a time that is negative or
            no number.

    Returns:
        The course. Once none is left there is no error; the interval then reaches from
        0 up to where the one before it did, or to where the exact one of the last
        that were watched does, whichever is lower: what lasts only ever falls.

    Source:
        kaplan-meier-1958; greenwood-1926 for the error; the interval on the scale
        log(−log), which stays inside 0 to 1 (kalbfleisch-prentice).
    """
    _check(times, ended)
    z = NormalDist().inv_cdf(0.5 + level / 2)
    order = np.array(times, np.float64)
    over = np.array(ended, np.bool_)
    steps: list[Step] = []
    surviving, variance = 1.0, 0.0
    for at in np.unique(order[over]):
        at_risk = int((order >= at).sum())
        gone = int((over & (order == at)).sum())
        left = at_risk - gone
        surviving *= left / at_risk
        if left:
            variance += gone / (at_risk * left)
            low, high = _interval(surviving, variance, z)
        else:
            before = steps[-1].high if steps else 1.0
            low, high = 0.0, min(before, clopper_pearson(0, at_risk, level=level).high)
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
    watched = tuple(float(time) for time in np.sort(order))
    return Course(watched, int(over.sum()), level, tuple(steps))


def _interval(surviving: float, variance: float, z: float) -> tuple[float, float]:
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
    if not all(time >= 0 for time in times):
        raise ValueError("A time is negative or no number; give 0 or more.")
