"""Which phase of its plan a clutch is in, and what that phase aims at."""

from decimal import Decimal

from clutches.rules.facts import Phase, PhasePlan
from clutches.rules.vocabulary import PhaseKind
from husbandry.rules.profiles.resolving import ResolvedTarget, egg_targets
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Period, Quantity

NAME_OF_PROFILES = "what the care profile wants"


def phase_number_on(plan: PhasePlan, *, day: int) -> int | None:
    """Return which phase holds on a day of incubation, counted from 0.

    Args:
        plan: with at least one phase.
        day: days since laying; the day of laying is 0.

    Returns:
        The phase's place. A phase of n days holds for n days, the first from day 0
        on; after the end of all of them the last one goes on, for the eggs still lie
        there. None before the day of laying.

    Source:
        House rule, no source.
    """
    if day < 0:
        return None
    ends_on_day = 0
    for number, phase in enumerate(plan.phases):
        if phase.days is None:
            return number
        ends_on_day += phase.days
        if day < ends_on_day:
            return number
    return len(plan.phases) - 1


def phase_on(plan: PhasePlan, *, day: int) -> Phase | None:
    """Return the phase that holds on a day of incubation; None before laying.

    Args:
        plan: with at least one phase.
        day: days since laying; the day of laying is 0.
    """
    number = phase_number_on(plan, day=day)
    return None if number is None else plan.phases[number]


def set_point_c(phase: Phase, *, light_share: float) -> float:
    """Return the temperature that a phase aims at over a whole day.

    The middle of its band by day and the middle of its band by night, weighted by
    how long each lasts. Most incubators have no lights; their plans have one band for
    both, and then the share does not matter.

    Args:
        phase: its bands in °C.
        light_share: share of the day for which the lights burn, 0 to 1.

    Returns:
        °C.

    Source:
        House rule, no source.
    """
    day_c = float(phase.day_low_c + phase.day_high_c) / 2
    night_c = float(phase.night_low_c + phase.night_high_c) / 2
    return light_share * day_c + (1 - light_share) * night_c


def plan_of_profile(profile: Profile) -> PhasePlan | None:
    """Return how a care profile wants eggs kept: one warm phase until they hatch.

    Args:
        profile: its rows of the zone `eggs` for temperature. Where it has one for the
            day or for the night only, that one holds for both; an end that a row
            leaves open is its hard limit.

    Returns:
        None where the profile says nothing, or a band has no end at one side.

    Source:
        House rule, no source; the bands name theirs.
    """
    rows = _by_period(profile)
    if not rows:
        return None
    day = rows.get(Period.DAY) or rows[Period.NIGHT]
    night = rows.get(Period.NIGHT) or day
    bands = (*_band(day), *_band(night))
    known = [end for end in bands if end is not None]
    if len(known) < len(bands):
        return None
    hard_low_c, hard_high_c = hard_limits(profile)
    return PhasePlan(
        code="",
        name=NAME_OF_PROFILES,
        phases=(Phase(PhaseKind.WARM, None, *known),),
        hard_low_c=hard_low_c,
        hard_high_c=hard_high_c,
        provenance=day.provenance,
        limit_provenance=day.hard_provenance or night.hard_provenance,
        rule_id=day.target_id,
    )


def hard_limits(profile: Profile) -> tuple[Decimal | None, Decimal | None]:
    """Return past which temperatures of eggs somebody must act at once, in °C.

    Of the rows by day and by night the narrower limits hold; None: not said.
    """
    rows = _by_period(profile).values()
    lows = [row.hard_low for row in rows if row.hard_low is not None]
    highs = [row.hard_high for row in rows if row.hard_high is not None]
    return max(lows, default=None), min(highs, default=None)


def _by_period(profile: Profile) -> dict[Period, ResolvedTarget]:
    return {
        row.period: row
        for row in egg_targets(profile)
        if row.quantity is Quantity.TEMPERATURE_C
    }


def _band(row: ResolvedTarget) -> tuple[Decimal | None, Decimal | None]:
    low = row.hard_low if row.low is None else row.low
    high = row.hard_high if row.high is None else row.high
    return low, high
