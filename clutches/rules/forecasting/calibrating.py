"""How well forecasts would have held for clutches that hatched already."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from clutches.rules.facts import PastClutch
from clutches.rules.forecasting.footings import Footing, footing_of, footing_on
from clutches.rules.forecasting.reared import Reared, asked_on_day
from clutches.rules.forecasting.spreads import COVERAGE
from clutches.rules.forecasting.telling import Told, window_told
from clutches.rules.forecasting.windows import WindowDays
from clutches.rules.statistics import Share, wilson
from husbandry.rules.profiles.values import Profile


@dataclass(frozen=True, slots=True)
class Trial:
    """What the others would have said of one clutch, and what came; days since laying.

    Attributes:
        asked_on_day: as of which day.
        early, likely, late: whole days; None: nothing could be told.
        held: all of it hatched within the window; None: nothing could be told.
        why: why nothing could be told; "" where it could.
    """

    clutch: Reared
    asked_on_day: int
    early: int | None
    likely: int | None
    late: int | None
    held: bool | None
    why: str

    @property
    def miss_days(self) -> float | None:
        """Return how much later its median egg hatched than was likely."""
        return None if self.likely is None else self.clutch.middle - self.likely


@dataclass(frozen=True, slots=True)
class Calibration:
    """How well windows held for one species.

    Attributes:
        footing: what its forecasts stand on, with all clutches.
        stated: the coverage that windows are meant to have.
        held: in how many of those of which something could be told the whole clutch
            hatched within its window, with the 95 % interval of that share.
        bias_days: mean of how much later they hatched than was likely; negative:
            forecasts run late.
        mean_error_days: mean of the same without its sign.
    """

    footing: Footing
    stated: float
    trials: tuple[Trial, ...]
    held: Share
    bias_days: float | None
    mean_error_days: float | None


def leave_one_out(past: Iterable[PastClutch], profile: Profile) -> Calibration:
    """Forecast each past clutch by all the others, and compare.

    Each is asked as of half of what clutches usually take, as if it went on as warm
    as in the seven days before; rate and window come from the other clutches alone.

    Args:
        past: clutches of one species that hatched; none is allowed.
        profile: of the species.

    Returns:
        Trials in the given order; where nothing could be told they say why.

    Source:
        ADR 0013; interval: `wilson-1927`.
    """
    whole = footing_of(past, profile)
    reared = whole.reared
    trials = tuple(
        _trial(one, [*reared[:place], *reared[place + 1 :]], reared, profile)
        for place, one in enumerate(reared)
    )
    held = [trial.held for trial in trials if trial.held is not None]
    misses = [m for trial in trials if (m := trial.miss_days) is not None]
    return Calibration(
        footing=whole,
        stated=float(COVERAGE),
        trials=trials,
        held=wilson(sum(held), len(held)),
        bias_days=fmean(misses) if misses else None,
        mean_error_days=fmean(map(abs, misses)) if misses else None,
    )


def _trial(
    one: Reared, others: Sequence[Reared], among: Sequence[Reared], profile: Profile
) -> Trial:
    day = asked_on_day(one, among)
    told = window_told(footing_on(others, profile), *one.known_on(day))
    if not isinstance(told, Told):
        return Trial(one, day, None, None, None, None, told)
    early, likely, late = _not_before(told.days, day).whole()
    held = early <= one.first and one.last <= late
    return Trial(one, day, early, likely, late, held, "")


def _not_before(days: WindowDays, day: int) -> WindowDays:
    """Return a window as the night would open it: nothing had hatched by that day."""
    if day >= days.late:
        return days
    return WindowDays(max(days.early, day), max(days.likely, day), days.late)
