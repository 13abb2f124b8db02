"""The demo's fourteen nights on a site's clock, as steps of one minute."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from core.zones import day_bounds, instant
from demo.plans import NIGHTS

Ints = NDArray[np.int64]
STEP_S = 60


@dataclass(frozen=True, slots=True)
class Nights:
    """Fourteen local days in a row, the last being `until`."""

    until: date
    zone: ZoneInfo

    def on(self, night: int) -> date:
        """Return the local day of a night; 0 and less lie before the first."""
        return self.until - timedelta(days=NIGHTS - night)

    def number(self, on: date) -> int:
        """Return which night a local day is."""
        return NIGHTS - (self.until - on).days

    def instant_s(self, night: int, at: time) -> int:
        """Return the epoch second at which a night's local clock shows a time."""
        return instant(self.on(night), at, zone=self.zone)

    def moment(self, night: int, at: time) -> datetime:
        """Return the same as a datetime of the site's zone."""
        return datetime.fromtimestamp(self.instant_s(night, at), tz=self.zone)

    def bounds_s(self, night: int) -> tuple[int, int]:
        """Return the first epoch second of a night's local day and of the next."""
        return day_bounds(self.on(night), zone=self.zone)

    def steps_s(self) -> Ints:
        """Return the start of every simulated minute, in epoch seconds.

        Night 0 is simulated too, so that the model has settled when night 1 begins.
        """
        start_s, end_s = self.bounds_s(0)[0], self.bounds_s(NIGHTS)[1]
        return np.arange(start_s, end_s, STEP_S, dtype=np.int64)

    def numbers_of(self, at_s: Ints) -> NDArray[np.intp]:
        """Return for each instant the night in whose local day it lies."""
        starts = [self.bounds_s(night)[0] for night in range(1, NIGHTS + 1)]
        return np.searchsorted(np.array(starts), at_s, side="right")
