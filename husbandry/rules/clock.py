"""A local day, cut into day and night by the lights."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class LocalDay:
    """One calendar day of a site, in epoch seconds: 23, 24 or 25 hours long."""

    on: date
    start_s: int
    end_s: int


@dataclass(frozen=True, slots=True)
class LightTimes:
    """Lights on and off as epoch seconds; equal where it stays dark all day."""

    on_s: int
    off_s: int


def bounds(day: LocalDay, lights: LightTimes) -> tuple[int, int, int, int]:
    """Return day start, lights on, lights off, day end, in order.

    Lights that reach beyond the local day are cut at its ends.
    """
    on_s = min(max(lights.on_s, day.start_s), day.end_s)
    off_s = min(max(lights.off_s, on_s), day.end_s)
    return day.start_s, on_s, off_s, day.end_s
