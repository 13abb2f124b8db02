"""What forecasts of hatching stand on and how well they held, in sentences."""

from collections.abc import Iterator
from decimal import Decimal

from clutches.models import Forecast
from clutches.queries.forecasts import SpeciesCalibration
from clutches.rules.forecasting.calibrating import Calibration, Trial
from clutches.rules.forecasting.footings import LEAST_OWN, Footing
from clutches.rules.forecasting.rates import Rate
from clutches.rules.forecasting.spreads import Spread, SpreadMethod
from clutches.rules.forecasting.telling import ALIKE_C
from clutches.rules.vocabulary import ForecastBasis
from core.units import TemperatureUnit
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.breeding import BASES
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Quantity
from staff.units import count, day

WHY_LEFT_OUT = {
    "not_measured": "less than 80 % of its hours were measured",
    "hatched_within_rest": "it hatched before the care profile's rest was over",
}
WHY_NOT_TOLD = {
    "few_clutches": "too few others",
    "not_measured": "not measured",
    "too_cool": "too cool to hatch, by the others",
    "kept_otherwise": "fewer than three others were kept within half a degree of it",
}
FAHRENHEIT_DEGREE = 1.8
SMALLEST_BIAS_DAYS = 0.05


def told_footing(found: SpeciesCalibration, units: Units) -> Iterator[str]:
    """Yield what the forecasts of a species stand on."""
    footing = found.calibration.footing
    yield _standing(footing, units)
    rest = incubation_for(found.profile, IncubationMatter.DIAPAUSE_DAYS)
    if rest is not None and footing.rest.high:
        low, high = footing.rest.low, footing.rest.high
        yield (
            f"Embryos rest first: development is reckoned from day "
            f"{footing.rest.middle:g}, the middle of {low:g} to {high:g} "
            f"({_word(rest)})."
        )
    if footing.spread is not None:
        yield _window(footing.spread)
    elif footing.basis is ForecastBasis.PUBLISHED_RATE:
        yield (
            "No coverage is stated yet: with three own clutches it can be. Until then "
            "the early end stands at 85 % of the degree-days, for field eggs hatched "
            "earlier than models from steady warmth said [booth-2022]."
        )


def _standing(footing: Footing, units: Units) -> str:
    own = count(len(footing.reared), "clutch", "clutches")
    match footing.basis:
        case ForecastBasis.PUBLISHED_RATE if footing.rate:
            word = f" ({_word(footing.rate_rule)})" if footing.rate_rule else ""
            return f"Forecasts stand on the care profile's rate{word}: {_rate(footing, units)}"
        case ForecastBasis.OWN_CLUTCHES if footing.rate:
            return f"Forecasts stand on {own} of one's own: {_rate(footing, units)}"
        case ForecastBasis.OWN_CLUTCHES:
            return (
                f"Forecasts stand on how long {own} of one's own took. How warmth "
                f"changes that, so few or so much alike cannot tell; so they speak "
                f"only for eggs kept within {_apart(ALIKE_C, units)} of at least "
                f"{LEAST_OWN} of them. For others the care profile's window holds."
            )
    rule = footing.window_rule
    window = (
        f"the care profile's window alone, {rule.low} to {rule.high} days "
        f"({_word(rule)})"
        if rule
        else "nothing: the care profile says no window"
    )
    return (
        f"Forecasts stand on {window}. Of own clutches {len(footing.reared)} can be "
        f"learned from; {LEAST_OWN} are the least."
    )


def _rate(footing: Footing, units: Units) -> str:
    rate = footing.rate or Rate(0, 0)
    between = ""
    if rate.zero_low_c is not None and rate.zero_high_c is not None:
        low, high = (_c(end, units) for end in (rate.zero_low_c, rate.zero_high_c))
        between = f" (between {low} and {high}, 95 times in 100)"
    stated = " as the care profile states" if footing.zero_stated else between
    factor = FAHRENHEIT_DEGREE if units.temperature is TemperatureUnit.F else 1.0
    return (
        f"development stands still at {_c(rate.zero_c, units)}{stated}, and takes "
        f"{rate.degree_days * factor:.0f} degree-days above it "
        f"(°{units.temperature.value} × days)."
    )


def _window(spread: Spread) -> str:
    by = {
        SpreadMethod.T_QUANTILES: "by Student's t, which is wide for few",
        SpreadMethod.ORDER_STATISTICS: "in the order of their misses",
    }[spread.method]
    early, likely, late = map(_shift, (spread.early, spread.likely, spread.late))
    return (
        f"About the day that the rate says, a window reaches from {early} to {late} "
        f"days, and its likely day is moved by {likely}: so far "
        f"{count(spread.clutches, 'clutch', 'clutches')} missed what the others had "
        f"told of them, {by}."
    )


def told_held(calibration: Calibration) -> Iterator[str]:
    """Yield how well windows held; nothing where none could be told."""
    held, bias_days = calibration.held, calibration.bias_days
    error_days = calibration.mean_error_days
    if held.value is None or bias_days is None or error_days is None:
        if calibration.trials:
            yield "None of them could be forecast by the others yet."
        return
    yield (
        f"Asked half-way, each by the others alone: {held.count} of "
        f"{count(held.of, 'clutch', 'clutches')} hatched wholly within the window, "
        f"from first to last egg ({100 * held.value:.0f} %; the true share lies between "
        f"{100 * held.low:.0f} and {100 * held.high:.0f} %, 95 times in 100). Windows "
        f"that state a coverage are meant to hold {100 * calibration.stated:.0f} %."
    )
    yield (
        f"On average they hatched {_side(bias_days)}; the mean miss to either side was "
        f"{error_days:.1f} days."
    )


def _side(bias_days: float) -> str:
    if abs(bias_days) < SMALLEST_BIAS_DAYS:
        return "when it was likely"
    side = "later" if bias_days > 0 else "earlier"
    return f"{abs(bias_days):.1f} days {side} than was likely"


def told_left_out(footing: Footing) -> Iterator[str]:
    """Yield of which clutches nothing can be learned, and why."""
    for one in footing.left_out:
        yield f"{one.code} is left out: {WHY_LEFT_OUT[one.why]}."


def told_trial(trial: Trial) -> str:
    """Return the window that the others told of a clutch, or why they told none."""
    if trial.early is None:
        return WHY_NOT_TOLD[trial.why]
    return f"day {trial.early} to {trial.late}, likely {trial.likely}"


def told_forecast(row: Forecast) -> str:
    """Return one forecast as a window with what it stands on."""
    share = (
        "how many clutches keep to it is not known"
        if row.coverage is None
        else f"meant to hold for {100 * row.coverage:.0f} % of clutches"
    )
    past = row.evidence.get("past")
    told = f", from {count(past, 'clutch', 'clutches')}" if past else ""
    return (
        f"Box {row.box}: between {day(row.earliest_on)} and {day(row.latest_on)}, most "
        f"likely about {day(row.likely_on)} ({BASES[row.basis]}{told}; {share})."
    )


def told_measured(row: Forecast) -> str:
    """Return how much of a forecast's warmth was measured; "" where it says not."""
    hours, share = row.evidence.get("hours"), row.evidence.get("measured")
    if not hours or share is None:
        return ""
    done = (
        f" {100 * row.development:.0f} % of development is reckoned done."
        if row.development is not None
        else ""
    )
    return (
        f"Of {hours} hours since laying {100 * float(share):.0f} % were measured in "
        f"the incubator; the others are bridged.{done}"
    )


def _shift(days: float) -> str:
    shown = numbers.signed(Decimal(str(round(days, 1))), 1)
    return f"+{shown}" if round(days, 1) > 0 else shown


def _c(celsius: float, units: Units) -> str:
    return numbers.value(celsius, Quantity.TEMPERATURE_C, units)


def _apart(kelvin: float, units: Units) -> str:
    factor = FAHRENHEIT_DEGREE if units.temperature is TemperatureUnit.F else 1.0
    return f"{kelvin * factor:g} °{units.temperature.value}"


def _word(rule: IncubationRule) -> str:
    return names.word(rule.provenance.source, rule.provenance.standing)
