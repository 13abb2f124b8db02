"""What the growth curves of one animal say, in words."""

from husbandry.rules.growth.choosing import Choice, LeftOut, RankedFit
from husbandry.rules.growth.fits import AsymptoteDoubt, Fit, NotFitted
from husbandry.rules.growth.projecting import NotProjected, Projection
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import GrowthModel

NAMES = {
    GrowthModel.LOGISTIC: "logistic",
    GrowthModel.GOMPERTZ: "Gompertz",
    GrowthModel.VON_BERTALANFFY: "von Bertalanffy",
    GrowthModel.RICHARDS: "Richards",
}
DOUBTS = {
    AsymptoteDoubt.DID_NOT_CONVERGE: "the search for the curve did not come to an end",
    AsymptoteDoubt.RUNS_AWAY: "they do not hold the curve, which ran to the edge of "
    "what the search may try",
    AsymptoteDoubt.TOO_FEW_POINTS: "there are too few weighings for so many parameters",
    AsymptoteDoubt.INFLECTION_NOT_PASSED: "fewer than three weighings come after "
    "the age of fastest growth, so the slowing has not been seen",
    AsymptoteDoubt.TOO_FAR: "at the last weighing the curve is below two thirds of it",
    AsymptoteDoubt.TOO_UNCERTAIN: "its 95 % interval reaches further than half of it "
    "to either side",
    AsymptoteDoubt.NO_BEND: "a straight line describes the weighings as well",
    AsymptoteDoubt.CURVES_DISAGREE: "other curves fit as well and end elsewhere",
    AsymptoteDoubt.BELOW_GROWN: "it lies below what any grown animal weighs, so growth "
    "has stopped and is not finished",
}
REFUSALS = {
    NotFitted.TOO_FEW_POINTS: "too few weighings",
    NotFitted.TOO_FEW_AGES: "weighed at too few ages",
    NotFitted.ALL_ALIKE: "all weighings are alike",
    NotFitted.SHRINKING: "the weighings do not rise with age",
    NotFitted.LEVEL: "the weighings rise with age no more than by chance",
    NotFitted.NOT_IDENTIFIED: "its parameters cannot be told apart",
    NotFitted.DID_NOT_CONVERGE: "the search for it did not come to an end",
}
SILENCES = {
    NotProjected.DID_NOT_CONVERGE: "the search for the curve did not come to an end",
    NotProjected.BEFORE_THE_WEIGHINGS: "it would lie before the first weighing",
    NotProjected.ASYMPTOTE_NOT_SUPPORTED: "it would lie beyond the weighings, and the "
    "asymptote is not supported by these data",
    NotProjected.ABOVE_THE_ASYMPTOTE: "that is more than the curve ever reaches",
    NotProjected.NEAR_THE_ASYMPTOTE: "that is so near the end of growth that the animal "
    "may never reach it",
    NotProjected.NO_MASS: "the curve has no mass there",
}


def told(choice: Choice, units: Units = METRIC) -> tuple[str, ...]:
    """Tell which curve describes the growth, where it ends, and how sure that is.

    Args:
        choice: the curves of one animal.
        units: the unit of masses.

    Returns:
        Whole sentences, the most important first.
    """
    best = choice.best
    if best is None:
        return ("No growth curve could be fitted.", *_left_out(choice))
    return (
        _describes(choice, best),
        _ends(best, units),
        *_rivals(choice),
        *_left_out(choice),
    )


def told_age(projection: Projection, units: Units = METRIC) -> str:
    """Tell at which age a mass is reached, or why that cannot be said.

    Args:
        projection: of one curve.
        units: the unit of the mass.
    """
    mass = numbers.mass(_plain(projection.mass_g), units)
    if projection.why_not is not None:
        return f"No age is given for {mass}: {SILENCES[projection.why_not]}."
    if projection.age_days is None:
        raise ValueError("A projection has an age or says why not.")
    return (
        f"{mass} at an age of {numbers.days(round(projection.age_days))}, "
        f"95 % interval {_interval(projection.low_days, projection.high_days)}."
    )


def _interval(low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f"{round(low)} to {numbers.days(round(high))}"
    if low is not None:
        return f"from {numbers.days(round(low))} on, its end open"
    if high is not None:
        return f"up to {numbers.days(round(high))}, its beginning open"
    return "open at both ends"


def _describes(choice: Choice, best: Fit) -> str:
    name = NAMES[best.model]
    if len(choice.ranked) == 1:
        return f"Only the {name} curve could be fitted to {choice.n} weighings."
    weight = choice.ranked[0].weight
    sure = (
        "by the smallest misfit alone, for there are too few weighings to weigh the "
        "curves"
        if weight is None
        else f"with a weight of {weight * 100:.0f} % among {len(choice.ranked)} curves"
    )
    return f"The {name} curve describes these {choice.n} weighings best, {sure}."


def _ends(best: Fit, units: Units) -> str:
    if best.why is not None:
        return f"The asymptote is not supported by these data: {DOUBTS[best.why]}."
    low, high = (numbers.mass(_plain(g), units) for g in best.asymptote_interval_g)
    end = numbers.mass(_plain(best.parameter("asymptote_g").value), units)
    return f"It levels off at {end}, 95 % interval {low} to {high}."


def _plain(grams: float) -> str:
    return f"{grams:.6f}"


def _rivals(choice: Choice) -> tuple[str, ...]:
    return tuple(_fits_as_well(ranked) for ranked in choice.ranked[1:] if ranked.rival)


def _fits_as_well(ranked: RankedFit) -> str:
    return (
        f"The {NAMES[ranked.fit.model]} curve describes them nearly as well "
        f"(AICc {ranked.difference:.1f} higher)."
    )


def _left_out(choice: Choice) -> tuple[str, ...]:
    return tuple(map(_not_fitted, choice.left_out))


def _not_fitted(left: LeftOut) -> str:
    return f"The {NAMES[left.model]} curve was not fitted: {REFUSALS[left.reason]}."
