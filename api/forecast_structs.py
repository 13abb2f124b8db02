"""How well forecasts would have held, as it is answered."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.structs import Asked, Out, Ref
from clutches.queries.forecasts import SpeciesCalibration
from clutches.rules.forecasting.calibrating import Trial
from clutches.rules.forecasting.footings import Footing
from clutches.rules.forecasting.spreads import SpreadMethod
from clutches.rules.vocabulary import ForecastBasis

CELSIUS = Meta(description="°C")
SINCE = Meta(description="Days since laying.")


class CalibrationAsked(Asked, frozen=True):
    """Of which species."""

    species: Annotated[
        str | None, Meta(description="Code of the species; all unless given.")
    ] = None


class RateOut(Out, frozen=True):
    """How fast embryos develop: 1/days = (°C − zero)/degree-days."""

    zero_c: Annotated[float, CELSIUS]
    zero_stated: Annotated[
        bool, Meta(description="true: the care profile's; false: fitted.")
    ]
    zero_low_c: Annotated[
        float | None, Meta(description="95 % interval of a fitted zero, °C.")
    ]
    zero_high_c: Annotated[float | None, CELSIUS]
    degree_days: Annotated[float, Meta(description="°C above zero × days.")]


class SpreadOut(Out, frozen=True):
    """What is added to an expected day to make a window, in days."""

    early_days: float
    bias_days: Annotated[
        float, Meta(description="Added to the likely day; negative: the rate ran late.")
    ]
    late_days: float
    method: SpreadMethod
    clutches: int


class TrialOut(Out, frozen=True):
    """What the others would have told of one clutch, and what came."""

    clutch: str
    laid_on: date
    mean_c: Annotated[
        float, Meta(description="From the end of the rest to hatching, °C.")
    ]
    measured: Annotated[float, Meta(description="Share of hours measured, 0 to 1.")]
    asked_on_day: Annotated[int, Meta(description="As of which day since laying.")]
    early_day: Annotated[int | None, SINCE]
    likely_day: Annotated[int | None, SINCE]
    late_day: Annotated[int | None, SINCE]
    first_day: Annotated[int, Meta(description="Its first egg hatched; days.")]
    median_day: Annotated[float, Meta(description="Its median egg hatched; days.")]
    last_day: Annotated[int, Meta(description="Its last egg hatched; days.")]
    held: Annotated[
        bool | None, Meta(description="All within the window; null: none was told.")
    ]
    why_not: Annotated[str, Meta(description="Why none was told; empty: one was.")]


class LeftOutOut(Out, frozen=True):
    """A clutch from which nothing can be learned."""

    clutch: str
    why: str


class CalibrationOut(Out, frozen=True):
    """How well forecasts of one species would have held."""

    species: Ref
    profile_version: int
    basis: ForecastBasis
    rest_low_days: float
    rest_high_days: float
    rate: RateOut | None
    spread: SpreadOut | None
    stated_coverage: Annotated[
        float, Meta(description="Share of clutches that windows are meant to hold.")
    ]
    held: Annotated[int, Meta(description="Clutches that kept to their window.")]
    told: Annotated[int, Meta(description="Of so many with a window.")]
    held_low: Annotated[
        float, Meta(description="95 % interval of that share (Wilson).")
    ]
    held_high: float
    bias_days: Annotated[
        float | None,
        Meta(description="Mean of median day − likely day; negative: they run late."),
    ]
    mean_error_days: float | None
    trials: tuple[TrialOut, ...]
    left_out: tuple[LeftOutOut, ...]


def shown_calibration(found: SpeciesCalibration) -> CalibrationOut:
    """Return a species' calibration as it is answered."""
    calibration = found.calibration
    footing, held = calibration.footing, calibration.held
    return CalibrationOut(
        species=Ref(id=found.species, code=found.code),
        profile_version=found.version,
        basis=footing.basis,
        rest_low_days=footing.rest.low,
        rest_high_days=footing.rest.high,
        rate=_rate(footing),
        spread=_spread(footing),
        stated_coverage=calibration.stated,
        held=held.count,
        told=held.of,
        held_low=held.low,
        held_high=held.high,
        bias_days=calibration.bias_days,
        mean_error_days=calibration.mean_error_days,
        trials=tuple(map(_trial, calibration.trials)),
        left_out=tuple(
            LeftOutOut(clutch=one.code, why=one.why) for one in footing.left_out
        ),
    )


def _rate(footing: Footing) -> RateOut | None:
    rate = footing.rate
    if rate is None:
        return None
    return RateOut(
        zero_c=rate.zero_c,
        zero_stated=footing.zero_stated,
        zero_low_c=rate.zero_low_c,
        zero_high_c=rate.zero_high_c,
        degree_days=rate.degree_days,
    )


def _spread(footing: Footing) -> SpreadOut | None:
    spread = footing.spread
    if spread is None:
        return None
    return SpreadOut(
        early_days=spread.early,
        bias_days=spread.likely,
        late_days=spread.late,
        method=spread.method,
        clutches=spread.clutches,
    )


def _trial(trial: Trial) -> TrialOut:
    clutch = trial.clutch
    return TrialOut(
        clutch=clutch.code,
        laid_on=clutch.laid_on,
        mean_c=clutch.mean_c,
        measured=clutch.measured,
        asked_on_day=trial.asked_on_day,
        early_day=trial.early,
        likely_day=trial.likely,
        late_day=trial.late,
        first_day=clutch.first,
        median_day=clutch.middle,
        last_day=clutch.last,
        held=trial.held,
        why_not=trial.why,
    )
