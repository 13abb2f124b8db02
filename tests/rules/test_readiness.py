"""A home's enclosure judged, without a database: what is wanted, what is not said."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.clock import LightTimes, LocalDay
from husbandry.rules.conditions import MISSING
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.resolving import resolve_targets
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import (
    EnclosureKind,
    Period,
    Quantity,
    Reproduction,
    Sex,
    Zone,
)
from placements.rules.readiness.files import shown_name
from placements.rules.readiness.judging import judge, outcome_of
from placements.rules.readiness.measured import Row, home_readings
from placements.rules.readiness.values import (
    AnimalNeeds,
    HomeDay,
    HomeSetup,
    MatterState,
)
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter, UvbLamp
from tests.factories import SHIPPED_PROFILE

PROFILE = read_profile(SHIPPED_PROFILE.read_text("utf-8"), name="shipped")
TODAY = date(2026, 3, 2)
SETUP = HomeSetup(
    kind=EnclosureKind.SCREEN,
    width_cm=Decimal(61),
    depth_cm=Decimal(61),
    height_cm=Decimal(122),
    zone=ZoneInfo("UTC"),
    lights_on=time(8),
    lights_off=time(20),
    uvb_lamp=UvbLamp.LINEAR_T5,
    uvb_percent=Decimal(6),
    uvb_distance_cm=Decimal(25),
    laying_bin=True,
    sees_others=False,
)


def midnight_s(on: date) -> int:
    return int(datetime.combine(on, time(), UTC).timestamp())


def home_day(on: date) -> HomeDay:
    start_s = midnight_s(on)
    return HomeDay(
        LocalDay(on, start_s, start_s + 86_400),
        LightTimes(start_s + 8 * 3_600, start_s + 20 * 3_600),
    )


DAYS = tuple(home_day(TODAY - timedelta(back)) for back in range(10))


def needs(
    profile: Profile = PROFILE, *, stage: str | None = "adult", sex: Sex = Sex.FEMALE
) -> AnimalNeeds:
    targets = resolve_targets(
        profile,
        stage=stage,
        sex=sex,
        reproduction=Reproduction.RESTING,
        overrides=(),
        on=TODAY,
    )
    return AnimalNeeds(profile, 1, stage, sex, Reproduction.RESTING, targets)


def logged(quantity: str, *, lit: int, dark: int, days: int = 3) -> list[Row]:
    start_s = midnight_s(TODAY - timedelta(days))
    return [
        (
            "basking",
            quantity,
            at,
            # Instruments never show one value while the sun or a lamp is on.
            lit + at // 600 % 3 if 8 <= (at - start_s) % 86_400 / 3_600 < 20 else dark,
        )
        for at in range(start_s, midnight_s(TODAY), 600)
    ]


def judged(
    setup: HomeSetup = SETUP, wanted: AnimalNeeds | None = None, rows: Any = ()
) -> dict[Any, MatterState]:
    states = judge(setup, wanted or needs(), home_readings(rows), days=DAYS)
    return {
        (s.matter, s.quantity, s.period) if s.period else s.matter: s for s in states
    }


UVB = (ReadinessMatter.UVB_LAMP, Quantity.UV_INDEX, Period.DAY)
LIT_NIGHT = (ReadinessMatter.CLIMATE, Quantity.UV_INDEX, Period.NIGHT)


def test_a_logger_of_uv_is_judged_by_the_reviews_kernel() -> None:
    rows = logged("uv_index", lit=3_000, dark=0)

    found = judged(replace(SETUP, uvb_lamp=UvbLamp.NONE), rows=rows)

    assert (found[UVB].state, found[UVB].found["days"]) == (Readiness.AS_WANTED, 3)
    assert ReadinessMatter.UVB_LAMP not in found


def test_a_weak_tube_shows_on_the_logger_whatever_is_printed_on_it() -> None:
    found = judged(rows=logged("uv_index", lit=1_200, dark=0))

    assert found[UVB].state is Readiness.NOT_AS_WANTED
    assert found[UVB].why is Why.OUTSIDE


def test_a_light_that_burns_by_night_is_told() -> None:
    dark, lit = (
        judged(rows=logged("uv_index", lit=3_000, dark=value)) for value in (0, 900)
    )

    assert LIT_NIGHT not in dark
    assert lit[LIT_NIGHT].state is Readiness.NOT_AS_WANTED


def test_a_profile_that_wants_no_uvb_asks_for_no_lamp() -> None:
    targets = tuple(t for t in PROFILE.targets if t.quantity is not Quantity.UV_INDEX)
    without_index = replace(PROFILE, targets=targets)
    without_lamp = replace(without_index, lamps=())

    by_lamp = judged(wanted=needs(without_index))[ReadinessMatter.UVB_LAMP]
    nothing = judged(wanted=needs(without_lamp))

    assert (by_lamp.state, by_lamp.wanted["uv_index"]) == (Readiness.AS_WANTED, None)
    assert ReadinessMatter.UVB_LAMP not in nothing


def test_what_the_profile_does_not_say_is_not_judged() -> None:
    hatchling = judged(wanted=needs(stage="hatchling"))

    # No figure of size for hatchlings was found, and they may see one another.
    assert ReadinessMatter.SIZE not in hatchling
    assert ReadinessMatter.SIGHT not in hatchling
    assert hatchling[ReadinessMatter.COMPANY].wanted == {"animals": 4}


@pytest.mark.parametrize(
    ("others", "state"), [(3, Readiness.AS_WANTED), (4, Readiness.NOT_AS_WANTED)]
)
def test_hatchlings_live_in_fours_at_most(others: int, state: Readiness) -> None:
    setup = replace(SETUP, other_animals=others)

    found = judged(setup, needs(stage="hatchling"))

    assert found[ReadinessMatter.COMPANY].state is state


@pytest.mark.parametrize(
    ("sex", "stage", "bin_there", "why"),
    [
        (Sex.FEMALE, "adult", False, Why.NO_LAYING_BIN),
        (Sex.FEMALE, "adult", True, Why.AS_WANTED),
        (Sex.FEMALE, "juvenile", False, None),
        (Sex.FEMALE, None, False, Why.AGE_NOT_KNOWN),
        (Sex.UNKNOWN, "adult", False, Why.SEX_NOT_KNOWN),
        (Sex.UNKNOWN, "adult", True, None),
        (Sex.UNKNOWN, "juvenile", False, None),
        (Sex.MALE, "adult", False, None),
        (Sex.MALE, None, False, None),
    ],
)
def test_who_needs_a_laying_bin(
    sex: Sex, stage: str | None, bin_there: bool, why: Why | None
) -> None:
    setup = replace(SETUP, laying_bin=bin_there)

    found = judged(setup, needs(stage=stage, sex=sex)).get(ReadinessMatter.LAYING_BIN)

    assert (found.why if found else None) is why


def test_a_floor_may_be_turned() -> None:
    # 24 × 24 × 48 in is square; a longer one counts whichever side is called width.
    adult = PROFILE.housing[0]
    long = replace(
        PROFILE,
        housing=(replace(adult, min_width_cm=Decimal(90)), *PROFILE.housing[1:]),
    )
    setup = replace(SETUP, depth_cm=Decimal(90))

    assert judged(setup, needs(long))[ReadinessMatter.SIZE].state is Readiness.AS_WANTED


STATES = st.lists(st.sampled_from(Readiness), max_size=6)


@given(STATES)
def test_the_whole_is_as_wanted_only_if_every_part_is(states: list[Readiness]) -> None:
    matters = [
        MatterState(ReadinessMatter.SIZE, state, Why.NOT_SAID, {}, {})
        for state in states
    ]

    outcome = outcome_of(matters)

    assert (outcome is Readiness.AS_WANTED) is (
        bool(states) and set(states) == {Readiness.AS_WANTED}
    )
    assert (outcome is Readiness.NOT_AS_WANTED) is (Readiness.NOT_AS_WANTED in states)
    assert outcome_of(reversed(matters)) is outcome


def test_readings_of_one_instant_are_one_row_of_the_kernel() -> None:
    made = home_readings(
        [
            ("basking", "uv_index", 600, 3_000),
            ("ambient", "humidity_pct", 300, 50_000),
            ("ambient", "temperature_c", 300, 24_000),
            ("ambient", "temperature_c", 900, 24_100),
        ]
    )

    assert made.zones == (Zone.AMBIENT, Zone.BASKING)
    assert made.quantities == (
        (Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT),
        (Quantity.UV_INDEX,),
    )
    # 600 s apart; a single reading counts as a logger of an hour.
    assert made.interval_s == (600, 3_600)
    r = made.readings
    assert r.probe.tolist() == [0, 0, 1]
    assert r.at.tolist() == [300, 900, 600]
    assert r.temperature.tolist() == [24_000, 24_100, MISSING]
    assert r.humidity.tolist() == [50_000, MISSING, MISSING]
    assert r.uv_index.tolist() == [MISSING, MISSING, 3_000]


def test_no_readings_are_none() -> None:
    made = home_readings([])

    assert (made.zones, len(made.readings)) == ((), 0)


@pytest.mark.parametrize(
    ("apart_s", "interval_s"), [(10, 60), (60, 60), (3_600, 3_600), (9_000, 3_600)]
)
def test_readings_hold_by_how_far_they_lie_apart(apart_s: int, interval_s: int) -> None:
    rows = [("cool", "temperature_c", apart_s * n, 20_000) for n in range(5)]

    assert home_readings(rows).interval_s == (interval_s,)


@given(st.randoms(use_true_random=False))
def test_the_order_of_readings_changes_nothing(luck: Any) -> None:
    rows = logged("uv_index", lit=3_000, dark=0, days=1)
    shuffled = list(rows)
    luck.shuffle(shuffled)

    one, other = home_readings(rows).readings, home_readings(shuffled).readings

    assert np.array_equal(one.at, other.at)
    assert np.array_equal(one.uv_index, other.uv_index)


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ("log.csv", "log.csv"),
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\ann\\log.csv", "log.csv"),
        ("a\x00b\nc.csv", "abc.csv"),
        ("..", "a file"),
        ("", "a file"),
        ("/", "a file"),
        ("x" * 200 + ".csv", "x" * 116 + ".csv"),
    ],
)
def test_a_files_name_leads_nowhere(sent: str, shown: str) -> None:
    assert shown_name(sent) == shown
