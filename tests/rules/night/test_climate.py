"""What was measured against what was wanted."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from husbandry.rules.night.facts import StayFacts
from husbandry.rules.profiles.resolving import Override
from husbandry.rules.vocabulary import Period, Quantity, Sex, Urgency, Zone
from tests.rules.night.builders import (
    DAY,
    HOUR,
    START,
    animal,
    by_key,
    enclosure,
    hourly,
    night,
    probe,
    profile,
    target,
    together,
)

BELOW = "below_target:animal:1:temperature_c:basking:day"
ABOVE = "above_target:animal:1:temperature_c:basking:day"
NIGHT_HOURS, DAY_HOURS = 8, 12


def day_of(*day: float | None) -> list[float | None]:
    """24 hours: 20 °C by night, the given values by day, in band after them."""
    return [
        *([20.0] * NIGHT_HOURS),
        *day,
        *([29.5] * (DAY_HOURS - len(day))),
        *([20.0] * 4),
    ]


@pytest.mark.parametrize(
    ("day", "key", "urgency"),
    [
        ([], None, None),
        ([28, 31], None, None),  # exactly at the limits is inside
        ([27.999], None, None),  # an hour outside is tolerated
        ([27, 27], BELOW, Urgency.WATCH),
        ([27, 27, 27], BELOW, Urgency.WATCH),  # a quarter of 12 h: not more
        ([27, 27, 27, 27], BELOW, Urgency.TODAY),
        ([33, 33], ABOVE, Urgency.WATCH),
        ([33] * 4, ABOVE, Urgency.TODAY),
        ([36], ABOVE, Urgency.NOW),  # past the hard limit, however short
        ([35], None, None),  # at the hard limit is not past it
        ([21], BELOW, Urgency.NOW),
    ],
)
def test_urgency_follows_time_outside_and_hard_limits(
    day: list[float], key: str | None, urgency: Urgency | None
) -> None:
    wanted = target(hard_low=Decimal(22), hard_high=Decimal(35))

    seen = by_key(night(profile=profile(wanted)), hourly(*day_of(*day)))

    assert {k: s.urgency for k, s in seen.items()} == ({key: urgency} if key else {})


def test_evidence_carries_the_numbers_that_made_it() -> None:
    facts = night(profile=profile(target()))

    seen = by_key(facts, hourly(*day_of(26, 25, 27)))[BELOW]

    assert (seen.animal, seen.enclosure, seen.probe, seen.decided) == (1, 1, 1, True)
    e = seen.evidence
    # Worked by hand: 3 of 12 h below 28 °C by 2 + 3 + 1 K; mean (26+25+27+9·29.5)/12.
    assert e["outside_s"] == 3 * HOUR
    assert e["longest_s"] == 3 * HOUR
    assert e["longest_from"] == "2026-03-01 08:00"
    assert e["unit_minutes"] == (2 + 3 + 1) * 60
    assert e["mean"] == 28.625
    assert (e["lowest"], e["highest"]) == (25.0, 29.5)
    assert (e["covered_s"], e["expected_s"]) == (12 * HOUR, 12 * HOUR)
    assert (e["low"], e["high"], e["tolerated_s"]) == (28.0, 31.0, 3600)
    assert (e["animal"], e["enclosure"], e["room"]) == ("A-1", "E-1", "Room")
    assert e["basis"] == {
        "source": "invented",
        "standing": "from_memory",
        "reviewed_on": "2026-01-01",
        "note": "",
        "row": "temperature_c-basking-day",
        "version": 1,
        "override": None,
        "others": [],
    }


def test_too_little_data_leaves_the_night_undecided() -> None:
    # The last reading before the gap holds for three intervals: 7 of 12 h covered.
    day = [29.5, 29.5, 29.5, 29.5] + [None] * 8
    values = [20.0] * 8 + day + [20.0] * 4

    seen = by_key(night(profile=profile(target())), hourly(*values))

    assert {k: s.decided for k, s in seen.items() if "target" in k} == {
        BELOW: False,
        ABOVE: False,
    }
    assert seen["no_data:probe:1"].urgency is Urgency.WATCH


def test_too_little_data_still_shows_what_was_wrong() -> None:
    day = [20.0, 20.0, 20.0, 20.0] + [None] * 8
    values = [20.0] * 8 + day + [20.0] * 4

    seen = by_key(night(profile=profile(target())), hourly(*values))

    assert (seen[BELOW].decided, seen[ABOVE].decided) == (True, False)


def test_of_two_probes_at_one_spot_the_worse_is_shown() -> None:
    facts = night(profile=profile(target()), probes=[probe(1), probe(2)])

    seen = by_key(facts, together(hourly(*day_of()), hourly(*day_of(27, 27), probe=1)))

    assert [(k, s.probe) for k, s in seen.items()] == [(BELOW, 2)]


def test_an_override_wins_and_says_who_and_why() -> None:
    agreed = Override(
        id=7,
        quantity=Quantity.TEMPERATURE_C,
        zone=Zone.BASKING,
        period=Period.DAY,
        low=Decimal(24),
        high=Decimal(27),
        hard_low=None,
        hard_high=None,
        tolerated_minutes=60,
        from_on=date(2026, 2, 1),
        until_on=date(2026, 3, 1),
        reason="burn on the casque",
        by="Dr Mora",
    )
    facts = night(profile=profile(target()), animals=[animal(overrides=(agreed,))])

    seen = by_key(facts, hourly(*day_of()))

    assert list(seen) == [ABOVE]
    basis = seen[ABOVE].evidence["basis"]
    assert basis["override"] == "Dr Mora: burn on the casque"
    assert [o["low"] for o in basis["others"]] == [28.0]


def test_animals_of_a_group_are_judged_by_their_own_bands() -> None:
    facts = night(
        profile=profile(
            target(sex=Sex.MALE, id="male"),
            target(sex=Sex.FEMALE, id="female", low="24", high="27"),
        ),
        animals=[animal(1), animal(2, sex=Sex.FEMALE), animal(3, sex=Sex.FEMALE)],
    )

    seen = by_key(facts, hourly(*day_of()))

    assert sorted(seen) == [ABOVE.replace(":1:", f":{n}:") for n in (2, 3)]


def test_an_animal_is_judged_where_it_stayed_six_hours() -> None:
    short, long = (
        StayFacts(1, START, START + 5 * HOUR),
        StayFacts(2, START + 5 * HOUR, DAY.end_s),
    )
    facts = night(
        profile=profile(target()),
        animals=[animal(stays=(short, long))],
        enclosures=[enclosure(1), enclosure(2)],
        probes=[probe(1, 1), probe(2, 2)],
    )
    cold = day_of(*([21] * 12))

    first_is_cold = by_key(facts, together(hourly(*cold), hourly(*day_of(), probe=1)))
    second_is_cold = by_key(facts, together(hourly(*day_of()), hourly(*cold, probe=1)))

    assert first_is_cold == {}
    assert list(second_is_cold) == [BELOW]
    assert second_is_cold[BELOW].evidence["stayed_s"] == 19 * HOUR


def test_light_by_night_is_seen() -> None:
    dark = target(
        Quantity.UV_INDEX, Zone.BASKING, Period.NIGHT, low=None, high="0", id="dark"
    )
    facts = night(
        profile=profile(dark), probes=[probe(quantities=(Quantity.UV_INDEX,))]
    )
    lit = [0.4, 0.4] + [0.0] * 6 + [3.0] * 12 + [0.4] * 4

    seen = by_key(facts, hourly(*lit, quantity=Quantity.UV_INDEX))

    assert list(seen) == ["above_target:animal:1:uv_index:basking:night"]


def test_a_day_without_such_a_period_is_not_judged() -> None:
    always_dark = enclosure(lights=replace(enclosure().lights, off_s=START + 8 * HOUR))
    facts = night(profile=profile(target()), enclosures=[always_dark])

    assert by_key(facts, hourly(*([20.0] * 24))).keys() == {
        "stuck_probe:probe:1:temperature_c"
    }
