"""What a fitted growth curve says, and what it does not."""

from dataclasses import dataclass
from enum import StrEnum

from husbandry.rules.growth.curves import ASYMPTOTE
from husbandry.rules.growth.quantiles import t_quantile
from husbandry.rules.vocabulary import GrowthModel


class NotFitted(StrEnum):
    """Why no curve is fitted to weighings."""

    TOO_FEW_POINTS = "too_few_points"
    TOO_FEW_AGES = "too_few_ages"
    ALL_ALIKE = "all_alike"
    SHRINKING = "shrinking"
    LEVEL = "level"
    NOT_IDENTIFIED = "not_identified"
    DID_NOT_CONVERGE = "did_not_converge"


class AsymptoteDoubt(StrEnum):
    """Why the asymptote of a fit is not supported by its weighings."""

    DID_NOT_CONVERGE = "did_not_converge"
    RUNS_AWAY = "runs_away"
    TOO_FEW_POINTS = "too_few_points"
    INFLECTION_NOT_PASSED = "inflection_not_passed"
    TOO_FAR = "too_far"
    TOO_UNCERTAIN = "too_uncertain"
    NO_BEND = "no_bend"
    CURVES_DISAGREE = "curves_disagree"
    BELOW_GROWN = "below_grown"


class NotFittedError(ValueError):
    """These weighings have no growth curve; `reason` and the sentence say why."""

    def __init__(self, reason: NotFitted, sentence: str) -> None:
        """Keep the reason beside the sentence."""
        super().__init__(sentence)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter of a fit, in the unit that its name ends with.

    Attributes:
        name: `asymptote_g`, `rate_per_day`, `inflection_day`, `zero_day` or `shape`.
        value: the estimate, or what it was fixed at.
        standard_error: 0 if fixed.
        fixed: it was given, not estimated.
    """

    name: str
    value: float
    standard_error: float
    fixed: bool


@dataclass(frozen=True, slots=True)
class Fit:
    """A growth curve fitted by least squares.

    Attributes:
        model: which curve.
        parameters: in the order of the curve.
        covariance: of the parameters, in the same order; 0 for a fixed one.
        residual_sum_g2: the residual sum of squares.
        n: how many weighings.
        degrees_of_freedom: n less the parameters that were estimated.
        residual_standard_error_g: the root of the mean residual square.
        aicc: the corrected information criterion; None where n is too small for it.
        converged: the search ended at a lowest place (possibly on the side of the box
            it may search; the doubt then is `RUNS_AWAY`).
        why: why the asymptote is not supported; None if it is.
        first_age_days, last_age_days: between which the animal was weighed.
    """

    model: GrowthModel
    parameters: tuple[Parameter, ...]
    covariance: tuple[tuple[float, ...], ...]
    residual_sum_g2: float
    n: int
    degrees_of_freedom: int
    residual_standard_error_g: float
    aicc: float | None
    converged: bool
    why: AsymptoteDoubt | None
    first_age_days: float
    last_age_days: float

    @property
    def asymptote_supported(self) -> bool:
        """Return whether the asymptote may be told as a fact, with its interval."""
        return self.why is None

    @property
    def values(self) -> tuple[float, ...]:
        """Return the parameters' values in the order of the curve."""
        return tuple(p.value for p in self.parameters)

    def parameter(self, name: str) -> Parameter:
        """Return a parameter by its name.

        Raises:
            KeyError: the curve has no parameter of this name.
        """
        for parameter in self.parameters:
            if parameter.name == name:
                return parameter
        raise KeyError(name)

    @property
    def asymptote_interval_g(self) -> tuple[float, float]:
        """Return the asymptote's 95 % interval in grams; its low end not below 0."""
        asymptote = self.parameter(ASYMPTOTE)
        half = t_quantile(self.degrees_of_freedom) * asymptote.standard_error
        return max(0.0, asymptote.value - half), asymptote.value + half
