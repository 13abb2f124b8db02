"""What is to be done among the eggs of a clutch: today, and next."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from clutches.rules.eggs.stages import candle_from, last_day
from clutches.rules.vocabulary import EggDue, ForecastBasis
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter


@dataclass(frozen=True, slots=True)
class HatchWindow:
    """Between which days the eggs are expected to hatch.

    Attributes:
        basis: what it rests on.
        on: the night whose forecast it is; None: the care profile's window.
    """

    earliest_on: date
    likely_on: date | None
    latest_on: date
    basis: ForecastBasis
    on: date | None


@dataclass(frozen=True, slots=True)
class WaitingBox:
    """One box with eggs of a clutch.

    Attributes:
        incubator: code; "": it stands in none.
        eggs: of the clutch, that have not ended.
        put_on: local day on which the first of them came into it.
        checked_on: local day of the last look at it or an egg in it; None: none.
    """

    code: str
    incubator: str
    eggs: int
    put_on: date
    checked_on: date | None


@dataclass(frozen=True, slots=True)
class WaitingClutch:
    """A clutch of which eggs have not ended.

    Attributes:
        eggs: that have not ended; pipped: of these; unplaced: of these, in no box.
        uncandled: of these, not candled since the day on which candling tells.
        windows: one of each box with a forecast, or the profile's; none: not said.
    """

    laid_on: date
    eggs: int
    pipped: int
    unplaced: int
    uncandled: int
    boxes: tuple[WaitingBox, ...]
    windows: tuple[HatchWindow, ...]


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do from a day on.

    Attributes:
        on: the first day on which it is due.
        eggs: of how many eggs.
        box: code, where it is about one box; "".
        until_on: last day of a window; None: of no window.
    """

    kind: EggDue
    on: date
    eggs: int
    box: str = ""
    until_on: date | None = None


def profile_window(profile: Profile | None, *, laid_on: date) -> HatchWindow | None:
    """Return the window that the care profile gives; None: it gives none.

    Source:
        ADR 0013: without clutches of one's own the profile's window is the forecast.
    """
    row = (
        None
        if profile is None
        else incubation_for(profile, IncubationMatter.HATCH_DAYS)
    )
    if row is None or row.low is None or row.high is None:
        return None
    return HatchWindow(
        earliest_on=laid_on + timedelta(days=int(row.low)),
        likely_on=None,
        latest_on=laid_on + timedelta(days=int(row.high)),
        basis=ForecastBasis.PROFILE_WINDOW,
        on=None,
    )


def due_among(
    clutch: WaitingClutch, profile: Profile | None, *, today: date
) -> tuple[Due, ...]:
    """Return what is to be done among a clutch's eggs, the earliest first.

    Args:
        clutch: as it stands.
        profile: of its species, in force; None: none is.
        today: the local day where it is.

    Returns:
        Also what is due later: `on` says from when. What was due earlier has its
        earlier day.

    Source:
        andrews-donoghue-2004: candling tells only after the rest of the eggs.
    """
    found = [
        *_lying(clutch, today),
        *_candling(clutch, profile),
        *_looks(clutch, profile),
        *_hatching(clutch),
    ]
    return tuple(sorted(found, key=lambda due: (due.on, due.kind, due.box)))


def _lying(clutch: WaitingClutch, today: date) -> Iterator[Due]:
    if clutch.unplaced:
        yield Due(EggDue.PLACE_EGGS, clutch.laid_on, clutch.unplaced)
    if clutch.pipped:
        yield Due(EggDue.MIND_PIPPED, today, clutch.pipped)


def _candling(clutch: WaitingClutch, profile: Profile | None) -> Iterator[Due]:
    from_on = candle_from(profile, laid_on=clutch.laid_on)
    if from_on is not None and clutch.uncandled:
        yield Due(EggDue.CANDLE_EGGS, from_on, clutch.uncandled)


def _looks(clutch: WaitingClutch, profile: Profile | None) -> Iterator[Due]:
    row = (
        None
        if profile is None
        else incubation_for(profile, IncubationMatter.EGG_CHECK_EVERY_DAYS)
    )
    if row is None:
        return
    every = timedelta(days=last_day(row))
    for box in clutch.boxes:
        since_on = box.checked_on or box.put_on
        yield Due(EggDue.LOOK_INTO_BOX, since_on + every, box.eggs, box=box.code)


def _hatching(clutch: WaitingClutch) -> Iterator[Due]:
    if clutch.windows:
        yield Due(
            EggDue.EXPECT_HATCHING,
            min(window.earliest_on for window in clutch.windows),
            clutch.eggs,
            until_on=max(window.latest_on for window in clutch.windows),
        )
