"""Nonlinear least squares by Levenberg and Marquardt, inside a box."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

TRIALS = 200
DAMPING_FIRST = 1e-3
DAMPING_LEAST = 1e-12
DAMPING_MOST = 1e12
"""So damped, a step is too short to change anything: there is no way down."""
LESS_DAMPED, MORE_DAMPED = 0.1, 4.0
CLOSE = 1e-9
"""The residuals' share in the plane of the curve at which the search ends."""
CLOSE_ENOUGH = 1e-5
"""The share that counts as found where rounding stops the search earlier."""
ROUNDING = 1e-12
"""Residuals by this share of the data are rounding."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What is to be fitted: values and derivatives at a point of the search.

    Attributes:
        observed: the data.
        values: what the model says of them at a point.
        jacobian: its derivatives there, a row per datum.
        low, high: the box the point stays in; infinite where nothing limits it.
    """

    observed: Numbers
    values: Callable[[Numbers], Numbers]
    jacobian: Callable[[Numbers], Numbers]
    low: Numbers
    high: Numbers


@dataclass(frozen=True, slots=True)
class Solution:
    """Where a search ended.

    Attributes:
        point: the place.
        residual_sum: of squares, in the unit of the data, squared.
        converged: it is the lowest place around, inside the box or on its side.
        on_side: which coordinates the box holds back.
        trials: how often the model was computed.
    """

    point: Numbers
    residual_sum: float
    converged: bool
    on_side: tuple[bool, ...]
    trials: int


@dataclass(frozen=True, slots=True)
class _Plane:
    """The model seen as flat around a point, its columns of length 1."""

    free: Mask
    scales: Numbers
    triangle: Numbers
    downhill: Numbers

    def step(self, damping: float) -> Numbers:
        """Return the step that Marquardt's damping allows, for all coordinates."""
        size = len(self.scales)
        normal = self.triangle.T @ self.triangle + damping * np.eye(size)
        whole = np.zeros(len(self.free))
        found = np.linalg.solve(normal, self.triangle.T @ self.downhill)
        whole[self.free] = found / self.scales
        return whole


def descend(problem: Problem, start: Numbers) -> Solution:
    """Go downhill from a start until the residuals stand upright on the curve.

    The end is where their share in the plane of the curve (the relative offset)
    is `CLOSE`; the parameters are then that share of their standard error away.

    Args:
        problem: the data, the model and the box.
        start: a point, moved into the box if it is outside.

    Returns:
        The solution; not converged if the trials ran out or the model has no
        values at the start.

    Source:
        marquardt-1963, bates-watts-1988.
    """
    point = np.clip(start, problem.low, problem.high)
    residuals = problem.observed - problem.values(point)
    best = _sum(residuals)
    damping, trials = DAMPING_FIRST, 1
    tiny = ROUNDING * float(np.linalg.norm(problem.observed))
    while best < inf:
        plane = _plane(problem, point, residuals)
        offset = float(np.linalg.norm(plane.downhill))
        if offset <= max(CLOSE * best**0.5, tiny):
            return _solution(plane, point, best, trials, converged=True)
        lower = False
        while not lower and damping <= DAMPING_MOST and trials < TRIALS:
            trial = np.clip(point + plane.step(damping), problem.low, problem.high)
            residuals_there = problem.observed - problem.values(trial)
            there = _sum(residuals_there)
            trials, lower = trials + 1, there < best
            damping *= LESS_DAMPED if lower else MORE_DAMPED
        if not lower:
            near = offset <= CLOSE_ENOUGH * best**0.5
            return _solution(plane, point, best, trials, converged=near)
        damping = max(damping, DAMPING_LEAST)
        point, residuals, best = trial, residuals_there, there
    return Solution(point, inf, converged=False, on_side=(), trials=trials)


def _solution(
    plane: _Plane, point: Numbers, best: float, trials: int, *, converged: bool
) -> Solution:
    held = tuple(bool(h) for h in ~plane.free)
    return Solution(point, best, converged, held, trials)


def _plane(problem: Problem, point: Numbers, residuals: Numbers) -> _Plane:
    jacobian = problem.jacobian(point)
    pull = jacobian.T @ residuals
    held = ((point <= problem.low) & (pull < 0)) | (
        (point >= problem.high) & (pull > 0)
    )
    free = ~held
    columns = jacobian[:, free]
    scales = np.linalg.norm(columns, axis=0)
    scales[scales == 0] = 1.0
    orthogonal, triangle = np.linalg.qr(columns / scales)
    return _Plane(free, scales, triangle, orthogonal.T @ residuals)


def _sum(residuals: Numbers) -> float:
    found = float(residuals @ residuals)
    return found if np.isfinite(found) else inf
