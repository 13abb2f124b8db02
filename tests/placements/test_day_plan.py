"""A usual day in the new home, by the clock, worked out by hand.

Common practice, no source: misting two to four minutes before lights-on and after
lights-off; insects fed twelve hours before they are offered.
"""

from datetime import time
from pathlib import Path

import pytest
from django.conf import settings

from husbandry.rules.profiles.reading import read_profile
from placements.rules.packets.days import LightTimes, plan_day
from placements.rules.packets.routines import DayMatter, DayPlan, LightsBasis
from tests.placements.known import PROFILE as SMALL
from tests.rules.night.builders import profile

SHIPPED = settings.BASE_DIR / "husbandry" / "profiles" / "veiled_chameleon.yaml"
PROFILE = read_profile(Path(SHIPPED).read_text(encoding="utf-8"), name=SHIPPED.name)
HOME = LightTimes(time(8), time(20), LightsBasis.HOME)


def day(stage: str | None = "adult", lights: LightTimes | None = HOME) -> DayPlan:
    found = plan_day(PROFILE, stage, lights=lights)
    assert found is not None
    return found


def clock(found: DayPlan) -> list[tuple[str, str, DayMatter]]:
    return [
        (f"{line.at:%H:%M}", f"{line.until:%H:%M}" if line.until else "", line.matter)
        for line in found.lines
    ]


def test_day_of_a_home_in_the_order_of_the_clock() -> None:
    found = day()

    assert found.lights is LightsBasis.HOME
    assert clock(found) == [
        ("07:56", "08:00", DayMatter.MIST),
        ("08:00", "20:00", DayMatter.LIGHTS_ON),
        ("10:00", "", DayMatter.FEED),
        ("20:00", "08:00", DayMatter.LIGHTS_OFF),
        ("20:00", "20:04", DayMatter.MIST),
        ("22:00", "", DayMatter.GUT_LOAD),
    ]


def test_every_line_says_what_it_rests_on() -> None:
    found = {line.matter: line.basis.source for line in day().lines}

    assert found == {
        DayMatter.MIST: "common-practice",
        DayMatter.LIGHTS_ON: "noaa-solar",
        DayMatter.LIGHTS_OFF: "noaa-solar",
        DayMatter.FEED: "common-practice",
        DayMatter.GUT_LOAD: "common-practice",
    }


def test_feeding_line_is_of_the_life_stage() -> None:
    words = {
        stage: next(x.text for x in day(stage).lines if x.matter is DayMatter.FEED)
        for stage in ("juvenile", "adult")
    }

    assert "10–15 small insects (every day)" in words["juvenile"]
    assert "3–4 insects (every 2–3 days)" in words["adult"]


def test_insects_of_an_evening_lights_on_are_fed_on_the_day_itself() -> None:
    evening = LightTimes(time(11), time(23), LightsBasis.HOME)

    line = day(lights=evening).lines[0]

    # Offered at 13:00, twelve hours after 01:00 of the same day.
    assert (line.at, line.matter) == (time(1), DayMatter.GUT_LOAD)
    assert line.text.startswith("On a feeding day")
    assert day().lines[-1].text.startswith("The day before a feeding day")


def test_unknown_lights_are_on_from_seven_for_the_middle_of_the_hours() -> None:
    found = day(lights=None)

    # 11 to 13 hours are wanted: twelve from 7:00.
    assert found.lights is LightsBasis.CONVENTION
    assert ("07:00", "19:00", DayMatter.LIGHTS_ON) in clock(found)


@pytest.mark.parametrize(
    ("off", "expected"),
    [
        (time(19, 0), "19:00"),  # 11 hours, the least
        (time(21, 0), "21:00"),  # 13 hours, the most
        (time(18, 59), "20:00"),  # a minute too short: twelve hours from 8:00
        (time(21, 1), "20:00"),
    ],
)
def test_lights_that_burn_shorter_or_longer_than_wanted_are_corrected(
    off: time, expected: str
) -> None:
    found = day(lights=LightTimes(time(8), off, LightsBasis.HERE))

    assert ("08:00", expected, DayMatter.LIGHTS_ON) in clock(found)
    assert found.lights is LightsBasis.HERE


def test_profile_that_says_nothing_of_light_has_no_day() -> None:
    assert plan_day(profile(light_hours=()), None, lights=HOME) is None


def test_profile_that_says_nothing_of_misting_and_feeding_hours() -> None:
    found = plan_day(SMALL, "juvenile", lights=HOME)

    assert found is not None
    assert [line.matter for line in found.lines] == [
        DayMatter.LIGHTS_ON,
        DayMatter.LIGHTS_OFF,
    ]
