"""The demo's climate: a small physical model of an enclosure, invented for the demo.

One enclosure is one well-mixed body of air with some mass (plants, branches,
walls) that hangs by a heat loss on the air of its room:

    C dT/dt = a·P_lamp + P_heater − U (T − T_room)

so that it settles at T_room + (a·P_lamp + P_heater) / U with the time constant
C / U. The basking spot is the air plus what the lamp radiates onto it, in
proportion to the lamp's power. Its water vapour w (g/m³) is carried by the air
exchange n with the room, fed by fog and by what dries from wet leaves:

    dw/dt = n (w_room − w) + (fog + drying) / V

Drying is in proportion to the water on the leaves and to how far the air is from
saturation; what would exceed saturation falls out as dew. UVB lamps lose half of
their output in a half-life. Every constant here and in the scenario is invented:
plausible, tuned to the demo's story, and no advice for building anything.

Both equations are stepped exactly for inputs that hold over a step, so the model
stays stable at any step length.
"""

from dataclasses import dataclass

import numpy as np

from demo.air import Floats, relative_humidity_pct, saturation_g_m3


@dataclass(frozen=True, slots=True)
class Bodies:
    """The constants of n enclosures, each an array of shape (n,).

    Attributes:
        volume_m3: volume of air.
        heat_capacity_j_k: what it takes to warm it by one kelvin.
        loss_w_k: heat lost to the room per kelvin of difference.
        air_changes_per_h: exchanges of its air with the room's.
        lamp_to_air: share of the lamp's power that warms the air.
        perch_k_w: how much warmer than the air the basking spot is, per watt.
        drying_per_h: share of the water on leaves that dries in an hour into
            perfectly dry air.
    """

    volume_m3: Floats
    heat_capacity_j_k: Floats
    loss_w_k: Floats
    air_changes_per_h: Floats
    lamp_to_air: Floats
    perch_k_w: Floats
    drying_per_h: Floats


@dataclass(frozen=True, slots=True)
class Drive:
    """What works on n enclosures over m steps, each an array of shape (m, n).

    Attributes:
        room_c: temperature of the room's air.
        room_g_m3: vapour in the room's air.
        lamp_w: power of the heat lamp.
        heater_w: power of any other heat.
        mist_g_h: water sprayed onto leaves.
        fog_g_h: water brought into the air as fog.
        uv_index: what the UVB lamp gives at the perch.
    """

    room_c: Floats
    room_g_m3: Floats
    lamp_w: Floats
    heater_w: Floats
    mist_g_h: Floats
    fog_g_h: Floats
    uv_index: Floats


@dataclass(frozen=True, slots=True)
class Climate:
    """What there is to measure after each step, each of shape (m, n)."""

    air_c: Floats
    basking_c: Floats
    humidity_pct: Floats
    uv_index: Floats


def equilibrium_c(bodies: Bodies, drive: Drive) -> Floats:
    """Return the air temperature at which each step's heat balance would settle."""
    heat_w = bodies.lamp_to_air * drive.lamp_w + drive.heater_w
    return drive.room_c + heat_w / bodies.loss_w_k


def simulate(bodies: Bodies, drive: Drive, *, step_s: int) -> Climate:
    """Run the model.

    Args:
        bodies: the enclosures.
        drive: what works on them during each step; at least one step. The air
            starts as the first step would leave it in the long run, with the
            room's vapour and dry leaves.
        step_s: length of a step in seconds.

    Returns:
        The state at the end of each step.
    """
    settled_c = equilibrium_c(bodies, drive)
    air_c = _follow(settled_c, step_s * bodies.loss_w_k / bodies.heat_capacity_j_k)
    vapour_g_m3 = _vapour(bodies, drive, air_c, step_h=step_s / 3600)
    return Climate(
        air_c=air_c,
        basking_c=air_c + bodies.perch_k_w * drive.lamp_w,
        humidity_pct=relative_humidity_pct(vapour_g_m3, air_c),
        uv_index=drive.uv_index,
    )


def _follow(settled: Floats, steps_per_constant: Floats) -> Floats:
    """Let a first-order body follow what it would settle at, step by step."""
    keep = np.exp(-steps_per_constant)
    state = settled[0]
    states = np.empty_like(settled)
    for step, goal in enumerate(settled):
        state = goal + (state - goal) * keep
        states[step] = state
    return states


def _vapour(bodies: Bodies, drive: Drive, air_c: Floats, *, step_h: float) -> Floats:
    """Carry vapour and the water on leaves through the steps."""
    saturated = saturation_g_m3(air_c)
    keep = np.exp(-bodies.air_changes_per_h * step_h)
    vapour = np.minimum(drive.room_g_m3[0], saturated[0])
    wet_g = np.zeros_like(vapour)
    states = np.empty_like(air_c)
    for step, limit in enumerate(saturated):
        wet_g = wet_g + drive.mist_g_h[step] * step_h
        dryness = 1 - np.minimum(vapour / limit, 1)
        dried_g = wet_g * -np.expm1(-bodies.drying_per_h * dryness * step_h)
        fed_g_h = drive.fog_g_h[step] + dried_g / step_h
        goal = drive.room_g_m3[step] + fed_g_h / (
            bodies.volume_m3 * bodies.air_changes_per_h
        )
        vapour = goal + (vapour - goal) * keep
        dew = np.maximum(vapour - limit, 0)
        vapour = vapour - dew
        wet_g = wet_g - dried_g + dew * bodies.volume_m3
        states[step] = vapour
    return states


def aged_output(new: Floats, *, age_days: Floats, half_life_days: Floats) -> Floats:
    """Return what a UVB lamp still gives after burning for some days.

    Args:
        new: its output when it was new, in any unit; all of shapes that fit.
        age_days: days since then, 0 or more.
        half_life_days: days after which half is left.

    Source:
        nevarez-lamps: a linear tube lost half in about six months. That only the
        end points are published and the decay is exponential is an assumption.
    """
    return new * np.exp2(-age_days / half_life_days)
