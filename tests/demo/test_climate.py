"""The demo's climate behaves as physics says it must."""

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo.air import relative_humidity_pct, saturation_g_m3, saturation_hpa
from demo.climate import Bodies, Drive, aged_output, equilibrium_c, simulate

STEP_S = 60
HOUR = 60


def cage(**changes: float) -> Bodies:
    constants = {
        "volume_m3": 0.45,
        "heat_capacity_j_k": 6720.0,
        "loss_w_k": 14.0,
        "air_changes_per_h": 6.0,
        "lamp_to_air": 0.35,
        "perch_k_w": 0.09,
        "drying_per_h": 2.0,
    } | changes
    return Bodies(**{name: np.array([value]) for name, value in constants.items()})


def working(minutes: int, **changes: float) -> Drive:
    given_ = {
        "room_c": 20.0,
        "room_g_m3": 8.0,
        "lamp_w": 0.0,
        "heater_w": 0.0,
        "mist_g_h": 0.0,
        "fog_g_h": 0.0,
        "uv_index": 0.0,
    } | changes
    return Drive(**{n: np.full((minutes, 1), value) for n, value in given_.items()})


def joined(*parts: Drive) -> Drive:
    return Drive(
        **{
            name: np.concatenate([getattr(part, name) for part in parts])
            for name in Drive.__slots__
        }
    )


@pytest.mark.parametrize(
    ("air_c", "published_hpa"),
    [(10, 12.28), (20, 23.40), (24, 29.86), (28, 37.84), (34, 53.26)],
)
def test_saturation_agrees_with_the_handbook(air_c: float, published_hpa: float):
    # Source: CRC Handbook saturation table, in mbar; Magnus is within 0.5 %.
    assert saturation_hpa(np.array(air_c)) == pytest.approx(published_hpa, rel=5e-3)


@pytest.mark.parametrize(("air_c", "published_g_m3"), [(25, 23.0), (35, 39.6)])
def test_saturated_air_holds_what_the_medical_table_says(
    air_c: float, published_g_m3: float
):
    # Source: medical gas humidity table, saturated air, mg/L.
    assert saturation_g_m3(np.array(air_c)) == pytest.approx(published_g_m3, rel=1e-2)


def test_relative_humidity_agrees_with_psychrolib():
    psychrolib.SetUnitSystem(psychrolib.SI)
    air_c, humidity_pct = 23.0, 45.0

    vapour_g_m3 = humidity_pct / 100 * saturation_g_m3(np.array(air_c))
    warmer_pct = relative_humidity_pct(vapour_g_m3, np.array(28.0))

    # The same water in warmer air, worked out by the reference library: vapour
    # pressure rises with absolute temperature at constant density.
    pressure = psychrolib.GetVapPresFromRelHum(air_c, humidity_pct / 100)
    expected = psychrolib.GetRelHumFromVapPres(28.0, pressure * 301.15 / 296.15)
    assert warmer_pct == pytest.approx(100 * expected, rel=5e-3)


def test_heat_settles_at_the_balance_of_lamp_and_loss():
    bodies, drive = cage(), joined(working(1), working(8 * HOUR, lamp_w=60.0))

    climate = simulate(bodies, drive, step_s=STEP_S)

    # By hand: 20 + 0.35 × 60 W / 14 W/K = 21.5 °C, and 0.09 K/W × 60 W = 5.4 K more.
    assert climate.air_c[-1, 0] == pytest.approx(21.5, abs=1e-6)
    assert climate.basking_c[-1, 0] == pytest.approx(26.9, abs=1e-6)
    assert equilibrium_c(bodies, drive)[-1, 0] == pytest.approx(21.5)


def test_after_one_time_constant_the_lamp_has_done_63_percent_of_its_work():
    # By hand: 6720 J/K / 14 W/K = 480 s = 8 steps; 1 − 1/e = 0.632121.
    climate = simulate(
        cage(), joined(working(1), working(8, lamp_w=60.0)), step_s=STEP_S
    )

    assert climate.air_c[-1, 0] == pytest.approx(20 + 0.632121 * 1.5, abs=1e-5)


def test_the_step_length_changes_nothing_for_steady_inputs():
    minutes = simulate(
        cage(), joined(working(1), working(120, lamp_w=60.0)), step_s=STEP_S
    )
    seconds = joined(working(60), working(120 * 60, lamp_w=60.0))
    fine = simulate(cage(), seconds, step_s=1)

    assert minutes.air_c[-1] == pytest.approx(fine.air_c[-1], abs=1e-9)
    assert minutes.humidity_pct[-1] == pytest.approx(fine.humidity_pct[-1], abs=1e-6)


def test_lights_off_the_air_falls_towards_the_room_and_never_below():
    lit, dark = working(4 * HOUR, lamp_w=60.0), working(3 * HOUR, room_c=15.0)

    air_c = simulate(cage(), joined(lit, dark), step_s=STEP_S).air_c[4 * HOUR :, 0]

    assert np.all(np.diff(air_c) < 0)
    assert air_c[-1] == pytest.approx(15.0, abs=1e-3)
    assert np.all(air_c > 15.0)


def test_fog_settles_where_what_it_feeds_is_what_the_air_carries_away():
    climate = simulate(cage(), working(6 * HOUR, fog_g_h=10.8), step_s=STEP_S)

    # By hand: 8 + 10.8 g/h / (0.45 m³ × 6 /h) = 12 g/m³.
    settled = climate.humidity_pct[-1, 0] / 100 * saturation_g_m3(np.array(20.0))
    assert settled == pytest.approx(12.0, abs=1e-6)


def test_misted_water_dries_and_is_gone_after_hours():
    parts = working(1), working(3, mist_g_h=80.0), working(8 * HOUR)
    humidity = simulate(cage(), joined(*parts), step_s=STEP_S).humidity_pct[:, 0]
    dry = 100 * 8.0 / saturation_g_m3(np.array(20.0))

    assert humidity.max() > dry + 3
    assert 4 <= np.argmax(humidity) < HOUR
    assert humidity[-1] == pytest.approx(dry, abs=0.1)


@given(
    room_c=st.floats(5, 35),
    room_g_m3=st.floats(0.5, 40),
    lamp_w=st.floats(0, 150),
    mist_g_h=st.floats(0, 5000),
    fog_g_h=st.floats(0, 500),
)
def test_humidity_is_always_between_0_and_100(
    room_c: float, room_g_m3: float, lamp_w: float, mist_g_h: float, fog_g_h: float
):
    wet = working(30, room_c=room_c, room_g_m3=room_g_m3, mist_g_h=mist_g_h)
    hot = working(60, room_c=room_c, room_g_m3=room_g_m3, lamp_w=lamp_w)
    foggy = working(60, room_c=room_c, room_g_m3=room_g_m3, fog_g_h=fog_g_h)

    humidity = simulate(cage(), joined(wet, hot, foggy), step_s=STEP_S).humidity_pct

    assert np.all((humidity >= 0) & (humidity <= 100))


@given(room_c=st.floats(5, 35), lamp_w=st.floats(0, 150), heater_w=st.floats(0, 50))
def test_air_stays_between_the_room_and_what_the_heat_can_do(
    room_c: float, lamp_w: float, heater_w: float
):
    drive = joined(
        working(10, room_c=room_c),
        working(HOUR, room_c=room_c, lamp_w=lamp_w, heater_w=heater_w),
        working(HOUR, room_c=room_c),
    )

    air_c = simulate(cage(), drive, step_s=STEP_S).air_c

    top_c = room_c + (0.35 * lamp_w + heater_w) / 14
    assert np.all((air_c >= room_c - 1e-9) & (air_c <= top_c + 1e-9))


def test_a_uvb_lamp_halves_in_its_half_life():
    # Source: nevarez-lamps has the end points (50 to 25 in 182 days); that the
    # decay is exponential is an assumption, by which day 91 has 35.36.
    days = np.array([0.0, 91.0, 182.0])
    left = aged_output(np.array(50.0), age_days=days, half_life_days=np.array(182.0))

    assert left == pytest.approx([50.0, 35.3553, 25.0], abs=1e-4)
