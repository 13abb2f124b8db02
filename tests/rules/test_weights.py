"""What weighings say. Expected values are worked out by hand.

No published rule of percent and time exists for lizards: the limits used here are a
convention ("from memory"). The masses of an adult are those of a reference page.
"""

import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.profiles.values import (
    Provenance,
    Stage,
    WeighingRule,
    WeightBand,
    WeightPolicy,
)
from husbandry.rules.vocabulary import FindingKind, Sex, Standing, Urgency
from husbandry.rules.weights import (
    GravidSpell,
    WeighingPoint,
    WeightAssessment,
    assess_weights,
)

ON = date(2026, 3, 31)
LISBON = ZoneInfo("Europe/Lisbon")
SAID = Provenance("convention", Standing.FROM_MEMORY, date(2026, 1, 1))
POLICY = WeightPolicy(
    loss_watch_pct=Decimal(5),
    loss_watch_days=14,
    loss_now_pct=Decimal(10),
    loss_now_days=30,
    stall_days=14,
    stall_min_weighings=3,
    stall_stages=("hatchling",),
    provenance=SAID,
)
HATCHLING = Stage("hatchling", "Hatchling", 0, 90, SAID)
ADULT = Stage("adult", "Adult", 365, None, SAID)
BAND = WeightBand("adult", (), Sex.FEMALE, Decimal(85), Decimal(118), SAID)
RULE = WeighingRule("grown", (), 14, 28, SAID)


def point(days_ago: int, mass_g: str, key: int = 0, **more: Any) -> WeighingPoint:
    at = datetime(2026, 3, 31, 9, tzinfo=UTC) - timedelta(days=days_ago)
    return WeighingPoint(key or 1000 - days_ago, at, Decimal(mass_g), **more)


def history(*points: tuple[int, str]) -> tuple[WeighingPoint, ...]:
    return tuple(point(days_ago, mass_g) for days_ago, mass_g in points)


def assess(points: tuple[WeighingPoint, ...], **changes: Any) -> dict[str, Any]:
    given_: dict[str, Any] = {
        "on": ON,
        "zone": LISBON,
        "policy": POLICY,
        "band": None,
        "weighing": None,
        "stage": ADULT,
        "arrived_on": date(2026, 1, 1),
    }
    found = assess_weights(points, **(given_ | changes))
    assert len({a.kind for a in found}) == len(found)
    return {a.kind.value: a for a in found}


# Loss. 120 → 108 g is exactly 10.00 %, 120 → 106 g is 11.67 %; at the limit counts.


@pytest.mark.parametrize(
    ("points", "urgency"),
    [
        ((), None),
        (((0, "120"),), None),
        (((7, "120"), (0, "120")), None),
        (((7, "120"), (0, "121")), None),
        (((7, "120"), (0, "114.01")), None),  # 4.99 %
        (((7, "120"), (0, "114.00")), Urgency.TODAY),  # 5.00 %
        (((7, "120"), (0, "108.01")), Urgency.TODAY),  # 9.99 %
        (((7, "120"), (0, "108.00")), Urgency.NOW),  # 10.00 %
        (((7, "120"), (0, "106.00")), Urgency.NOW),  # 11.67 %
        (((14, "120"), (0, "114")), Urgency.TODAY),  # the window's first day
        (((15, "120"), (0, "114")), None),  # a day too long ago for 5 %
        (((30, "120"), (0, "108")), Urgency.NOW),
        (((31, "120"), (0, "108")), None),
        # From the heaviest in the window, not from the first or the one before.
        (((12, "112"), (8, "120"), (4, "117"), (0, "114")), Urgency.TODAY),
        (((12, "120"), (4, "112"), (0, "119")), None),  # regained
    ],
)
def test_loss(points: tuple[tuple[int, str], ...], urgency: Urgency | None) -> None:
    found = assess(history(*points)).get("weight_loss")

    assert (found.urgency if found else None) == urgency


def test_loss_tells_the_numbers_that_made_it() -> None:
    found = assess(history((9, "23.9"), (0, "22.1")))["weight_loss"]

    assert found == WeightAssessment(
        kind=FindingKind.WEIGHT_LOSS,
        urgency=Urgency.TODAY,
        facts={
            "from_g": "23.9",
            "from_on": "2026-03-22",
            "to_g": "22.1",
            "to_on": "2026-03-31",
            "days": 9,
            "change_pct": -7.53,  # 1.8 / 23.9
            "limit_pct": 5.0,
            "window_days": 14,
            "policy": "convention",
        },
        rule_id="",
        provenance=SAID,
    )


def test_a_loss_stays_until_the_animal_is_weighed_again() -> None:
    points = history((60, "120"), (50, "105"))

    assert assess(points)["weight_loss"].urgency is Urgency.NOW
    assert "weight_loss" not in assess((*points, point(0, "121")))


def test_a_weighing_after_the_night_does_not_count() -> None:
    points = history((7, "120"), (0, "100"))

    assert "weight_loss" in assess(points)
    assert "weight_loss" not in assess(points, on=ON - timedelta(days=1))


def test_the_local_day_of_a_weighing_counts() -> None:
    # 23:30 UTC on 30 March is 31 March in Lisbon (summer time since the 29th).
    late = WeighingPoint(2, datetime(2026, 3, 30, 23, 30, tzinfo=UTC), Decimal(100))
    points = (point(7, "120"), late)
    the_30th = date(2026, 3, 30)

    assert "weight_loss" not in assess(points, on=the_30th)
    assert "weight_loss" in assess(points, on=the_30th, zone=ZoneInfo("UTC"))


def test_a_corrected_weighing_is_replaced() -> None:
    wrong = point(7, "210", key=1)
    right = point(7, "120", key=2, corrects=1)

    assert "weight_loss" in assess((wrong, point(0, "119")))
    assert "weight_loss" not in assess((wrong, right, point(0, "119")))
    # A correction of the correction holds in its turn.
    again = point(7, "130", key=3, corrects=2)
    assert "weight_loss" in assess((wrong, right, again, point(0, "119")))


def test_eggs_laid_are_no_loss() -> None:
    points = history((10, "140"), (3, "112"), (0, "111"))
    laid = GravidSpell(date(2026, 3, 1), date(2026, 3, 27))

    assert assess(points)["weight_loss"].urgency is Urgency.NOW
    assert "weight_loss" not in assess(points, reproduction=(laid,))


def test_a_female_that_just_laid_has_not_lost_30_percent() -> None:
    # 150 g with her eggs, 105 g without them on the day of laying: 30 % less.
    points = history((7, "150"), (0, "105"))
    gravid, laid = (
        GravidSpell(date(2026, 2, 24), None),
        GravidSpell(date(2026, 2, 24), ON),
    )

    assert assess(points, reproduction=(gravid,))["weight_loss"].facts[
        "change_pct"
    ] == pytest.approx(-30)
    assert assess(points, reproduction=(laid,)) == {}


# Sheds: an animal that sheds may fast and lose a little ("from memory").

SHEDDING = replace(POLICY, shed_days=3)


@pytest.mark.parametrize(
    ("shed_days_ago", "urgency"),
    [
        ((), Urgency.TODAY),
        ((2,), Urgency.WATCH),  # on the day of the last weighing
        ((5,), Urgency.WATCH),  # three days before it
        ((6,), Urgency.TODAY),
        ((1,), Urgency.TODAY),  # after it: the weighing does not know of it
        ((1, 4, 30), Urgency.WATCH),
    ],
)
def test_a_shed_makes_a_small_loss_less_urgent(
    shed_days_ago: tuple[int, ...], urgency: Urgency
) -> None:
    sheds = [ON - timedelta(days=days) for days in shed_days_ago]

    found = assess(history((9, "120"), (2, "113")), policy=SHEDDING, sheds=sheds)

    assert found["weight_loss"].urgency is urgency
    assert ("shed_on" in found["weight_loss"].facts) is (urgency is Urgency.WATCH)


def test_the_shed_is_named_and_the_newest_counts() -> None:
    sheds = (date(2026, 3, 30), date(2026, 3, 28), date(2026, 3, 29))
    points = history((9, "120"), (2, "113"))

    plain = assess(points, policy=SHEDDING)["weight_loss"]
    shed = assess(points, policy=SHEDDING, sheds=sheds)["weight_loss"]

    assert shed.facts == {**plain.facts, "shed_on": "2026-03-29"}


def test_a_large_loss_stays_urgent_whatever_was_shed() -> None:
    found = assess(history((9, "120"), (0, "108")), policy=SHEDDING, sheds=(ON,))

    assert found["weight_loss"].urgency is Urgency.NOW


def test_without_days_in_the_policy_sheds_do_not_count() -> None:
    found = assess(history((9, "120"), (0, "113")), sheds=(ON,))

    assert found["weight_loss"].urgency is Urgency.TODAY


def test_a_loss_after_laying_is_told_from_the_first_weighing_after() -> None:
    points = history((10, "140"), (3, "112"), (0, "100"))
    laid = GravidSpell(date(2026, 3, 1), date(2026, 3, 27))

    found = assess(points, reproduction=(laid,))["weight_loss"]

    assert (found.facts["from_g"], found.facts["change_pct"]) == ("112", -10.71)


def test_a_spell_that_ends_after_the_last_weighing_excuses_nothing_yet() -> None:
    open_spell = GravidSpell(date(2026, 3, 1), None)
    points = history((10, "140"), (3, "112"))

    assert "weight_loss" in assess(points, reproduction=(open_spell,))


# Standstill of the young.


@pytest.mark.parametrize(
    ("points", "stalled"),
    [
        ((), False),
        (((14, "2.0"), (7, "2.0")), False),  # the policy asks for three
        (((14, "2.0"), (7, "2.0"), (0, "2.0")), True),  # no slope at all
        (((14, "2.0"), (7, "2.1"), (0, "2.2")), False),
        (((14, "2.2"), (7, "2.1"), (0, "2.0")), True),
        # Upwards in most pairs, yet no heavier than it began.
        (((14, "2.0"), (9, "2.2"), (5, "2.4"), (0, "2.0")), True),
        # One slip of the scale does not make a standstill: median slope +0.03.
        (((14, "2.0"), (10, "1.0"), (7, "2.2"), (3, "2.3"), (0, "2.4")), False),
        # The days are not spanned yet: 13 of 14.
        (((13, "2.0"), (7, "2.0"), (0, "2.0")), False),
        # Begun with the last weighing before the 14 days.
        (((20, "2.0"), (7, "2.0"), (0, "2.0")), True),
        # Grew before, stands still since: only the last fortnight counts.
        (((40, "1.0"), (30, "1.5"), (14, "2.0"), (7, "2.0"), (0, "2.0")), True),
    ],
)
def test_standstill(points: tuple[tuple[int, str], ...], stalled: bool) -> None:
    found = assess(history(*points), stage=HATCHLING)

    assert ("growth_stalled" in found) is stalled


@pytest.mark.parametrize("stage", [ADULT, None])
def test_only_the_policys_stages_are_asked_to_grow(stage: Stage | None) -> None:
    points = history((14, "2.0"), (7, "2.0"), (0, "2.0"))

    assert "growth_stalled" not in assess(points, stage=stage)


def test_standstill_tells_the_numbers_that_made_it() -> None:
    found = assess(history((14, "2.2"), (7, "2.15"), (0, "2.1")), stage=HATCHLING)[
        "growth_stalled"
    ]

    assert found.urgency is Urgency.TODAY
    assert found.facts == {
        "from_g": "2.2",
        "from_on": "2026-03-17",
        "to_g": "2.1",
        "to_on": "2026-03-31",
        "days": 14,
        "weighings": 3,
        "slope_g_per_day": -0.0071,  # −0.1 g in 14 days
        "slope_low": None,  # three points bound nothing
        "slope_high": None,
        "stage": "Hatchling",
        "window_days": 14,
        "policy": "convention",
    }


# Band: masses of an adult female (reference page: 85–118 g), both ends included.


@pytest.mark.parametrize(
    ("mass_g", "side"),
    [
        ("84.99", "below"),
        ("85.00", None),
        ("118.00", None),
        ("118.01", "above"),
    ],
)
def test_band(mass_g: str, side: str | None) -> None:
    found = assess(history((0, mass_g)), band=BAND).get("weight_out_of_band")

    assert (found.facts["side"] if found else None) == side


def test_band_tells_its_row() -> None:
    found = assess(history((3, "130")), band=BAND)["weight_out_of_band"]

    assert (found.urgency, found.rule_id, found.provenance) == (
        Urgency.WATCH,
        "adult",
        SAID,
    )
    assert found.facts == {
        "mass_g": "130",
        "on": "2026-03-28",
        "low_g": "85",
        "high_g": "118",
        "side": "above",
    }


def test_a_gravid_female_may_be_heavy_but_not_light() -> None:
    gravid = (GravidSpell(date(2026, 3, 1), None),)

    heavy = assess(history((0, "140")), band=BAND, reproduction=gravid)
    light = assess(history((0, "80")), band=BAND, reproduction=gravid)

    assert "weight_out_of_band" not in heavy
    assert "weight_out_of_band" in light


def test_without_weighings_nothing_is_out_of_band() -> None:
    assert assess((), band=BAND) == {}


# Overdue: more than 28 days after the last weighing, or after arrival.


@pytest.mark.parametrize(("days_ago", "overdue"), [(0, False), (28, False), (29, True)])
def test_overdue(days_ago: int, overdue: bool) -> None:
    found = assess(history((days_ago, "100")), weighing=RULE)

    assert ("weighing_overdue" in found) is overdue


def test_an_animal_never_weighed_is_overdue_from_its_arrival() -> None:
    found = assess((), weighing=RULE, arrived_on=date(2026, 3, 2))["weighing_overdue"]

    assert found.urgency is Urgency.WATCH
    assert found.facts == {
        "last_on": None,
        "last_g": None,
        "arrived_on": "2026-03-02",
        "days": 29,
        "every_days": 14,
        "overdue_after_days": 28,
    }
    assert assess((), weighing=RULE, arrived_on=date(2026, 3, 3)) == {}


def test_one_that_came_again_was_not_weighed_since() -> None:
    before = history((60, "100"))

    found = assess(before, weighing=RULE, arrived_on=date(2026, 3, 2))

    assert found["weighing_overdue"].facts["last_on"] is None
    assert found["weighing_overdue"].facts["days"] == 29
    on_that_day = history((29, "100"))
    found = assess(on_that_day, weighing=RULE, arrived_on=date(2026, 3, 2))
    assert found["weighing_overdue"].facts["last_on"] == "2026-03-02"
    assert assess(before, weighing=RULE, arrived_on=date(2026, 3, 3)) == {}


# Laws.

MASSES = st.lists(
    st.tuples(
        st.integers(0, 90),
        st.decimals(min_value="0.5", max_value="170", places=2),
    ),
    max_size=12,
    unique_by=lambda p: p[0],
)


@given(MASSES, st.randoms(use_true_random=False))
def test_the_order_of_arrival_does_not_matter(
    masses: list[tuple[int, Decimal]], chance: random.Random
) -> None:
    points = [point(days, str(mass)) for days, mass in masses]
    shuffled = points[:]
    chance.shuffle(shuffled)
    wanted = {"band": BAND, "weighing": RULE, "stage": HATCHLING}

    assert assess(tuple(points), **wanted) == assess(tuple(shuffled), **wanted)


@given(MASSES, MASSES)
def test_later_weighings_do_not_change_an_earlier_night(
    masses: list[tuple[int, Decimal]], later: list[tuple[int, Decimal]]
) -> None:
    points = tuple(point(days, str(mass)) for days, mass in masses)
    after = tuple(point(-1 - days, str(mass), key=5000 + days) for days, mass in later)
    wanted = {"band": BAND, "weighing": RULE, "stage": HATCHLING}

    assert assess(points, **wanted) == assess(points + after, **wanted)


@given(MASSES, st.integers(1, 1000))
def test_the_unit_of_the_scale_does_not_matter_to_loss(
    masses: list[tuple[int, Decimal]], factor: int
) -> None:
    points = tuple(point(days, str(mass)) for days, mass in masses)
    scaled = tuple(replace(p, mass_g=p.mass_g * factor) for p in points)

    plain, large = assess(points), assess(scaled)

    assert {k: v.urgency for k, v in plain.items()} == {
        k: v.urgency for k, v in large.items()
    }
