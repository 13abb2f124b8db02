"""Eggs in words: what was seen, how they stand, what is due among them."""

from datetime import date

from clutches.models import Forecast
from clutches.queries.breeding import BreedingClutch
from clutches.rules.eggs.due import Due, HatchWindow
from clutches.rules.vocabulary import (
    Candled,
    EggDue,
    EggStage,
    EggState,
    FailureCause,
    ForecastBasis,
)
from staff.units import count, day, weekday

SEEN = {
    Candled.VESSELS: "vessels",
    Candled.NO_VESSELS: "no vessels",
    Candled.DARK: "dark",
    Candled.UNCLEAR: "unclear",
}
# Signs for a place of 44 px; the words stand in the legend and for screen readers.
SIGNS = {
    Candled.VESSELS: "✱",
    Candled.NO_VESSELS: "○",
    Candled.DARK: "●",
    Candled.UNCLEAR: "?",
}
PIPPED_SIGN = "▲"
CAUSES = {
    FailureCause.INFERTILE: "infertile",
    FailureCause.MOULD: "mould",
    FailureCause.COLLAPSED: "collapsed",
    FailureCause.DIED_IN_EGG: "died in the egg",
    FailureCause.BROKEN: "broken",
    FailureCause.OPENED: "opened by hand",
    FailureCause.UNKNOWN: "unknown",
}
STAGES = {
    EggStage.DIAPAUSE: "expected to rest still; no vessels say nothing yet",
    EggStage.MAY_HAVE_BEGUN: "may have begun to grow, or rest still",
    EggStage.DEVELOPING: "expected to grow by now",
    EggStage.NOT_SAID: "",
}
BASES = {
    ForecastBasis.PUBLISHED_RATE: "from how warm they were and a published rate",
    ForecastBasis.OWN_CLUTCHES: "from how warm they were and clutches that hatched here",
    ForecastBasis.PROFILE_WINDOW: "the care profile's window",
}


def state(egg_state: EggState, cause: FailureCause | None = None) -> str:
    """Return how an egg stands: `failed (mould)`."""
    return f"{egg_state.value} ({CAUSES[cause]})" if cause else egg_state.value


def counts(clutch: BreedingClutch) -> str:
    """Return how many eggs stand how: `28 incubating, 2 failed`."""
    told = [f"{eggs} {word.value}" for word, eggs in clutch.states if eggs]
    return ", ".join(told)


def due(one: Due, clutch: BreedingClutch) -> str:
    """Return what is to be done as a sentence, for today or for the day it is due."""
    eggs, it = count(one.eggs, "egg"), f"of {clutch.code}"
    match one.kind:
        case EggDue.PLACE_EGGS:
            verb = "lies" if one.eggs == 1 else "lie"
            return f"{eggs} {it} {verb} in no box: put them into one."
        case EggDue.MIND_PIPPED:
            verb = "has" if one.eggs == 1 else "have"
            return f"{eggs} {it} {verb} pipped: look again soon, and pull nothing out."
        case EggDue.CANDLE_EGGS:
            return f"Candle {eggs} {it}, day {clutch.day}: from now on it tells."
        case EggDue.LOOK_INTO_BOX:
            days = (clutch.today - one.on).days
            late = f", {count(days, 'day')} late" if days > 0 else ""
            return f"Look into box {one.box} with {eggs} {it}{late}."
        case EggDue.EXPECT_HATCHING:
            return _hatching(one, clutch)


def _hatching(one: Due, clutch: BreedingClutch) -> str:
    eggs = count(one.eggs, "egg")
    if one.until_on is not None and one.until_on < clutch.today:
        return (
            f"The window of {clutch.code} ended on {day(one.until_on)}; {eggs} left. "
            "Open none: forecasts run late as well as early."
        )
    until = f" until {day(one.until_on)}" if one.until_on else ""
    return f"{eggs} of {clutch.code} may hatch any day{until}."


def coming(one: Due, clutch: BreedingClutch) -> str:
    """Return what is due later, with its day: `candle from 2 Apr 2026, in 30 days`."""
    what = {
        EggDue.PLACE_EGGS: "put eggs into a box",
        EggDue.MIND_PIPPED: "look after eggs that pipped",
        EggDue.CANDLE_EGGS: "candle",
        EggDue.LOOK_INTO_BOX: f"look into box {one.box}",
        EggDue.EXPECT_HATCHING: "the hatch window opens",
    }[one.kind]
    days = (one.on - clutch.today).days
    # The day of a window or a candling is a first day; a look has its day.
    word = "from" if one.kind is EggDue.CANDLE_EGGS else "on"
    return f"{what} {word} {weekday(one.on)}, in {count(days, 'day')}"


def window(found: HatchWindow) -> str:
    """Return a hatch window with what it rests on."""
    return _window(
        found.earliest_on, found.likely_on, found.latest_on, found.basis, found.on
    )


def forecast(row: Forecast) -> str:
    """Return a forecast with what it rests on."""
    return _window(
        row.earliest_on, row.likely_on, row.latest_on, ForecastBasis(row.basis), row.on
    )


def _window(
    earliest_on: date,
    likely_on: date | None,
    latest_on: date,
    basis: ForecastBasis,
    on: date | None,
) -> str:
    likely = f", most likely about {day(likely_on)}" if likely_on else ""
    told = f"; as of the night of {day(on)}" if on else ""
    return f"{day(earliest_on)} to {day(latest_on)}{likely} ({BASES[basis]}{told})"
