"""Which curve describes the growth of one animal best, and how sure that is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import exp, inf

from husbandry.rules.growth.curves import ASYMPTOTE
from husbandry.rules.growth.fits import (
    AsymptoteDoubt,
    Fit,
    NotFitted,
    NotFittedError,
)
from husbandry.rules.growth.fitting import checked, fit_growth
from husbandry.rules.vocabulary import GrowthModel

RIVAL_WITHIN = 2.0
"""A curve whose AICc is at most so much above the best describes the growth as well."""


@dataclass(frozen=True, slots=True)
class RankedFit:
    """A fit among others.

    Attributes:
        fit: what was fitted.
        difference: its AICc less that of the best; None if it has none.
        weight: Akaike's weight among the fits that have an AICc; None if it has none.
    """

    fit: Fit
    difference: float | None
    weight: float | None

    @property
    def rival(self) -> bool:
        """Return whether it describes the weighings as well as the best, or is it."""
        return self.difference is not None and self.difference <= RIVAL_WITHIN


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A curve that is not among the fits, and why."""

    model: GrowthModel
    reason: NotFitted


@dataclass(frozen=True, slots=True)
class Choice:
    """The curves that were fitted to one animal's weighings.

    Attributes:
        n: how many weighings there were.
        ranked: the fits that converged, the best first.
        left_out: the curves that could not be fitted.
    """

    n: int
    ranked: tuple[RankedFit, ...]
    left_out: tuple[LeftOut, ...]

    @property
    def best(self) -> Fit | None:
        """Return the fit with the lowest AICc, if there is any."""
        return self.ranked[0].fit if self.ranked else None

    @property
    def asymptote_supported(self) -> bool:
        """Return whether the best fit's asymptote may be told as a fact."""
        return self.best is not None and self.best.asymptote_supported


def choose_growth(
    ages_days: Sequence[float],
    masses_g: Sequence[float],
    *,
    models: Iterable[GrowthModel] = tuple(GrowthModel),
    grown_from_g: float | None = None,
) -> Choice:
    """Fit the curves and rank them by AICc.

    The best curve is the one with the lowest AICc, whether or not its asymptote is
    supported: a curve is not preferred because it claims more. Where another curve is
    within 2 of it, both describe the growth, and the best one's asymptote is supported
    only if theirs lie in its 95 % interval; else the best fit's `why` says so. The
    intervals remain those of one curve: that it was chosen makes them a little narrow.

    Args:
        ages_days: of the weighings, any order; several at one age count each.
        masses_g: as many, above zero.
        models: which curves to try.
        grown_from_g: the least that a grown animal of its kind weighs. A curve that
            levels off below it is of an animal that stopped growing, and its asymptote
            is not supported as the mass of a grown one; None: not known.

    Returns:
        The choice; without a best fit where no curve could be fitted. Where there are
        too few weighings for any AICc the smallest residual sum comes first.

    Raises:
        ValueError: ages and masses differ in number, or a value is no age or mass of an
            animal (a mass of 0, an age that is not finite).

    Source:
        burnham-anderson-2002, `asymptote-support-convention`.
    """
    ages, masses = checked(ages_days, masses_g)
    fits: list[Fit] = []
    left_out: list[LeftOut] = []
    for model in models:
        try:
            fit = fit_growth(ages.tolist(), masses.tolist(), model=model)
        except NotFittedError as error:
            left_out.append(LeftOut(model, error.reason))
            continue
        if fit.converged:
            fits.append(fit)
        else:
            left_out.append(LeftOut(model, NotFitted.DID_NOT_CONVERGE))
    ranked = _not_grown(_with_rivals(_ranked(fits)), grown_from_g)
    return Choice(len(ages), ranked, tuple(left_out))


def _ranked(fits: Sequence[Fit]) -> tuple[RankedFit, ...]:
    ordered = sorted(fits, key=_order)
    scores = [fit.aicc for fit in ordered if fit.aicc is not None]
    total = sum(exp((scores[0] - score) / 2) for score in scores)
    return tuple(
        RankedFit(fit, None, None)
        if fit.aicc is None
        else RankedFit(
            fit, fit.aicc - scores[0], exp((scores[0] - fit.aicc) / 2) / total
        )
        for fit in ordered
    )


def _order(fit: Fit) -> tuple[float, float]:
    return inf if fit.aicc is None else fit.aicc, fit.residual_sum_g2


def _with_rivals(ranked: tuple[RankedFit, ...]) -> tuple[RankedFit, ...]:
    """Return the ranking, the best fit doubted where its rivals speak against it."""
    if not ranked or not ranked[0].fit.asymptote_supported:
        return ranked
    first, rivals = ranked[0], [r.fit for r in ranked[1:] if r.rival]
    low, high = first.fit.asymptote_interval_g
    if all(low <= rival.parameter(ASYMPTOTE).value <= high for rival in rivals):
        return ranked
    return _doubted(ranked, AsymptoteDoubt.CURVES_DISAGREE)


def _not_grown(
    ranked: tuple[RankedFit, ...], grown_from_g: float | None
) -> tuple[RankedFit, ...]:
    """Return the ranking, the best fit doubted where no grown animal is so light."""
    if not ranked or not ranked[0].fit.asymptote_supported or grown_from_g is None:
        return ranked
    if ranked[0].fit.asymptote_interval_g[1] >= grown_from_g:
        return ranked
    return _doubted(ranked, AsymptoteDoubt.BELOW_GROWN)


def _doubted(
    ranked: tuple[RankedFit, ...], why: AsymptoteDoubt
) -> tuple[RankedFit, ...]:
    first = ranked[0]
    return (replace(first, fit=replace(first.fit, why=why)), *ranked[1:])
