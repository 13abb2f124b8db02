"""When eggs hatch: a window with what it rests on, and how well such windows held."""

from clutches.rules.forecasting.assessing import assess_hatching
from clutches.rules.forecasting.footings import Footing, footing_of
from clutches.rules.forecasting.forecasts import forecast, forecast_on, forecasts_of
from clutches.rules.forecasting.windows import Window

__all__ = [
    "Footing",
    "Window",
    "assess_hatching",
    "footing_of",
    "forecast",
    "forecast_on",
    "forecasts_of",
]
