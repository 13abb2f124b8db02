"""What timers, foggers, lamps and their faults do to the demo's enclosures.

All of it is invented for the demo: see `demo.climate` for the physics behind.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time

import numpy as np
from numpy.typing import NDArray

from demo.air import Floats
from demo.climate import Bodies, Drive, aged_output
from demo.nights import Ints, Nights
from demo.plans import EnclosurePlan, RoomPlan, Standing

DAY_S = 86_400
MINUTE_S = 60
MIST_S = 3 * MINUTE_S
# Fog ends before the lights go on, so that the day begins drier.
FOG_ENDS_S = 60 * MINUTE_S
# The room's heating starts before the lights; the window opens as they go out.
WARMING_S = 25 * MINUTE_S
AIRING_S = 20 * MINUTE_S
# Of a piece of equipment that does what it should.
WHOLE = {
    "lamp": 1.0,
    "night_heat_w": 0.0,
    "fog": 1.0,
    "night_uv_index": 0.0,
    "heating": 1.0,
    "too_warm_k": 0.0,
}
# The weather outside is felt indoors as slow swings of these periods.
SWING_C = 0.15
SWING_DAYS = (1.0, 2.7, 5.3)


@dataclass(frozen=True, slots=True)
class Breakdown:
    """What goes wrong with an enclosure's equipment on some of the nights.

    Attributes:
        until_night: the last night it lasts.
        lamp: what is left of the heat lamp's power, 0 to 1.
        night_heat_w: heat that stays on while the lights are out.
        fog: what is left of the fog, 0 to 1.
        night_uv_index: what an UVB lamp gives that stays on all night.
        heating: what is left of the thermostat's heat, 0 to 1.
        too_warm_k: by how much the thermostat holds it too warm.
        hours: only from one local time to another; None: day and night.
    """

    enclosure: str
    from_night: int
    until_night: int
    lamp: float = 1.0
    night_heat_w: float = 0.0
    fog: float = 1.0
    night_uv_index: float = 0.0
    heating: float = 1.0
    too_warm_k: float = 0.0
    hours: tuple[time, time] | None = None


@dataclass(frozen=True, slots=True)
class _Timers:
    """Seconds since lights-on and lights-off of each step's local day, (m, n)."""

    since_on_s: Ints
    since_off_s: Ints

    @property
    def lit(self) -> NDArray[np.bool_]:
        return (self.since_on_s >= 0) & (self.since_off_s < 0)


def bodies(plans: Sequence[EnclosurePlan]) -> Bodies:
    """Return the enclosures' constants as arrays, in the order of the plans."""
    return Bodies(
        volume_m3=np.array([p.shell.volume_m3 for p in plans]),
        heat_capacity_j_k=np.array([p.shell.heat_capacity_j_k for p in plans]),
        loss_w_k=np.array([p.shell.loss_w_k for p in plans]),
        air_changes_per_h=np.array([p.shell.air_changes_per_h for p in plans]),
        lamp_to_air=np.array([p.shell.lamp_to_air for p in plans]),
        perch_k_w=np.array([p.perch_k_w for p in plans]),
        drying_per_h=np.array([p.shell.drying_per_h for p in plans]),
    )


def drive(
    plans: Sequence[EnclosurePlan],
    *,
    rooms: Sequence[RoomPlan],
    breakdowns: Sequence[Breakdown],
    nights: Nights,
    generator: np.random.Generator,
) -> Drive:
    """Return what works on each enclosure in each minute.

    Args:
        plans: the enclosures.
        rooms: every room that one of them stands in.
        breakdowns: what fails, where and when.
        nights: the days to cover, night 0 included.
        generator: for the phases of the weather.
    """
    steps_s = nights.steps_s()
    lit = _timers(plans, nights, steps_s)
    states = _broken(plans, breakdowns, nights, steps_s)
    room_c, room_g_m3 = _weather(plans, rooms, nights, steps_s, generator)
    day = lit.lit
    age_days = (steps_s[:, None] - nights.bounds_s(1)[0]) / DAY_S + np.array(
        [p.uv_age_days for p in plans]
    )
    shining = aged_output(
        np.array([p.uv_new for p in plans]),
        age_days=age_days,
        half_life_days=np.array([p.uv_half_life_days for p in plans]),
    )
    return Drive(
        room_c=room_c,
        room_g_m3=room_g_m3,
        lamp_w=np.array([p.lamp_w for p in plans]) * states["lamp"] * day,
        heater_w=states["night_heat_w"] * ~day
        + _thermostats(plans, day, room_c, states),
        mist_g_h=np.array([p.mist_g_h for p in plans]) * _misting(lit),
        fog_g_h=np.array([p.fog_g_h for p in plans]) * states["fog"] * _fogging(lit),
        uv_index=np.where(day, shining, states["night_uv_index"]),
    )


def _timers(plans: Sequence[EnclosurePlan], nights: Nights, steps_s: Ints) -> _Timers:
    numbers = nights.numbers_of(steps_s)
    on_s = np.empty((numbers[-1] + 1, len(plans)), dtype=np.int64)
    off_s = np.empty_like(on_s)
    for night in range(len(on_s)):
        for place, plan in enumerate(plans):
            standing = standing_on(plan, night)
            on_s[night, place] = nights.instant_s(night, standing.lights_on)
            off_s[night, place] = nights.instant_s(night, standing.lights_off)
    return _Timers(
        since_on_s=steps_s[:, None] - on_s[numbers],
        since_off_s=steps_s[:, None] - off_s[numbers],
    )


def standing_on(plan: EnclosurePlan, night: int) -> Standing:
    """Return how an enclosure stands on a night; before its first one, as then."""
    begun = [s for s in plan.standings if s.from_night <= night]
    return begun[-1] if begun else plan.standings[0]


def _thermostats(
    plans: Sequence[EnclosurePlan],
    day: NDArray[np.bool_],
    room_c: Floats,
    states: dict[str, Floats],
) -> Floats:
    """Return the heat that holds each enclosure at its temperature; it only warms."""
    held = np.array([p.thermostat or (np.nan, np.nan) for p in plans])
    set_c = np.where(day, held[:, 0], held[:, 1]) + states["too_warm_k"]
    loss_w_k = np.array([p.shell.loss_w_k for p in plans])
    wanted_w = np.maximum(loss_w_k * (set_c - room_c), 0) * states["heating"]
    heat_w: Floats = np.nan_to_num(wanted_w)
    return heat_w


def _misting(timers: _Timers) -> NDArray[np.bool_]:
    """Say when it is misted: before lights-on and after lights-off."""
    before = (timers.since_on_s >= -MIST_S) & (timers.since_on_s < 0)
    after = (timers.since_off_s >= 0) & (timers.since_off_s < MIST_S)
    return before | after


def _fogging(timers: _Timers) -> NDArray[np.bool_]:
    return (timers.since_off_s >= 0) | (timers.since_on_s < -FOG_ENDS_S)


def _broken(
    plans: Sequence[EnclosurePlan],
    breakdowns: Sequence[Breakdown],
    nights: Nights,
    steps_s: Ints,
) -> dict[str, Floats]:
    """Return the state of each piece of equipment at each step, (m, n)."""
    states = {
        name: np.full((len(steps_s), len(plans)), value)
        for name, value in WHOLE.items()
    }
    places = {plan.code: place for place, plan in enumerate(plans)}
    for broken in breakdowns:
        place = places[broken.enclosure]
        when = _lasts(broken, nights, steps_s)
        for name, value in WHOLE.items():
            if getattr(broken, name) != value:
                states[name][when, place] = getattr(broken, name)
    return states


def _lasts(broken: Breakdown, nights: Nights, steps_s: Ints) -> NDArray[np.bool_]:
    """Say for each step whether a breakdown lasts."""
    numbers = nights.numbers_of(steps_s)
    when: NDArray[np.bool_] = (numbers >= broken.from_night) & (
        numbers <= broken.until_night
    )
    if broken.hours is None:
        return when
    within = np.zeros_like(when)
    for night in range(broken.from_night, broken.until_night + 1):
        from_s, until_s = (nights.instant_s(night, at) for at in broken.hours)
        within |= (steps_s >= from_s) & (steps_s < until_s)
    return when & within


def _weather(
    plans: Sequence[EnclosurePlan],
    rooms: Sequence[RoomPlan],
    nights: Nights,
    steps_s: Ints,
    generator: np.random.Generator,
) -> tuple[Floats, Floats]:
    """Return temperature and vapour of the room around each enclosure, (m, n)."""
    warmth = {}
    for room in rooms:
        swing = np.zeros(len(steps_s))
        for days, phase in zip(
            SWING_DAYS, generator.uniform(0, 2 * np.pi, len(SWING_DAYS)), strict=True
        ):
            swing += SWING_C * np.sin(2 * np.pi * steps_s / (days * DAY_S) + phase)
        share = _day_share(room, nights, steps_s)
        warmth[room.code] = room.night_c + share * (room.day_c - room.night_c) + swing
    vapour = {room.code: room.vapour_g_m3 for room in rooms}
    room_c = np.stack([warmth[plan.room] for plan in plans], axis=1)
    room_g_m3 = np.broadcast_to([vapour[plan.room] for plan in plans], room_c.shape)
    return room_c, room_g_m3


def _day_share(room: RoomPlan, nights: Nights, steps_s: Ints) -> Floats:
    """Return how far the room is between its night (0) and its day (1)."""
    numbers = nights.numbers_of(steps_s)
    every = range(int(numbers[-1]) + 1)
    on_s = np.array([nights.instant_s(night, room.lights_on) for night in every])
    off_s = np.array([nights.instant_s(night, room.lights_off) for night in every])
    warming = (steps_s - on_s[numbers] + WARMING_S) / WARMING_S
    airing = (steps_s - off_s[numbers]) / AIRING_S
    share: Floats = np.clip(warming, 0, 1) - np.clip(airing, 0, 1)
    return share
