"""Eggs too warm or too cool, at each limit and just over; sums worked out by hand.

The band is 25 to 28 °C with 30 °C as its hard limit (andrews-2008). From how much on
something is said is incubation-convention; that a cool hour is nothing and heat is
weighed strictly follows fluctuating-incubation-2022.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.facts import EggGroup
from clutches.rules.incubation import assess_incubation
from clutches.rules.incubation.climate import ProbeClimate
from clutches.rules.vocabulary import PhaseKind
from husbandry.rules.assessments import Assessment
from husbandry.rules.findings import URGENCY_ORDER
from husbandry.rules.sentences.breeding import TELLERS
from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import FindingKind, Urgency, Zone
from tests.rules.clutches.incubation.made import (
    HOUR_S,
    INCUBATOR,
    START_S,
    VEILED,
    climate,
    group,
    night,
    phase,
    plan,
    probe,
    spells,
    steady,
    with_zero,
)

K = FindingKind
H = HOUR_S
DAY_LONG = (0, 24 * H, 26.5)


def excursions(
    probes: Sequence[ProbeClimate],
    *groups: EggGroup,
    zero: tuple[str | None, str | None] | None = None,
    **changes: Any,
) -> list[Assessment]:
    profile = with_zero(VEILED, *zero) if zero else VEILED
    facts = night(*(groups or (group(),)), profiles={7: (1, profile)}, **changes)
    found = assess_incubation(facts, climate(probes)).assessments
    return [a for a in found if a.kind in (K.EGGS_TOO_WARM, K.EGGS_TOO_COOL)]


def day_with(*parts: tuple[int, int, float]) -> list[ProbeClimate]:
    """Return a day at 26.5 °C with other values in some hours of it."""
    readings = dict(steady(DAY_LONG))
    readings |= dict(steady(*parts))
    return [probe(sorted(readings.items()))]


def told(found: list[Assessment]) -> list[tuple[FindingKind, Urgency, bool]]:
    return [(a.kind, a.urgency, a.decided) for a in found]


WARM, COOL = K.EGGS_TOO_WARM, K.EGGS_TOO_COOL


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ((), []),
        # At the band's ends nothing is outside.
        (((0, 24 * H, 28.0),), []),
        (((0, 24 * H, 25.0),), []),
        # 0.5 K above for 1 h 55 min are 0.96 K·h; for 2 h 1.0; 6 K·h are for today.
        (((0, 2 * H - 300, 28.5),), []),
        (((0, 2 * H, 28.5),), [(WARM, Urgency.WATCH, True)]),
        (((0, 12 * H - 300, 28.5),), [(WARM, Urgency.WATCH, True)]),
        (((0, 12 * H, 28.5),), [(WARM, Urgency.TODAY, True)]),
        # At the hard limit is not past it; a thousandth above for five minutes is.
        (((0, 300, 30.0),), []),
        (((0, 300, 30.001),), [(WARM, Urgency.NOW, True)]),
        # One hour of cool is nothing, however cool (no hard limit below is said).
        (((0, H, 15.0),), []),
        # 12 K·h from 3 h at 4 K below; no rate is known of this species.
        (((0, 3 * H, 21.001),), []),
        (((0, 3 * H, 21.0),), [(COOL, Urgency.WATCH, True)]),
        (((0, 12 * H, 21.0),), [(COOL, Urgency.TODAY, True)]),
        # Both in one day.
        (
            ((0, 300, 31.0), (12 * H, 24 * H, 21.0)),
            [(WARM, Urgency.NOW, True), (COOL, Urgency.TODAY, True)],
        ),
    ],
)
def test_what_is_said_of_a_day(
    parts: tuple[tuple[int, int, float], ...],
    expected: list[tuple[FindingKind, Urgency, bool]],
) -> None:
    assert told(excursions(day_with(*parts))) == expected


def test_five_minutes_past_the_limit_and_one_second_less() -> None:
    def past(seconds: int) -> list[ProbeClimate]:
        base = steady(DAY_LONG)
        at = START_S + 60
        return [probe(sorted([*base, (at, 31.0), (at + seconds, 26.5)]))]

    # The readings every five minutes would end it at 300 s from midnight.
    def without_next(probes: list[ProbeClimate]) -> list[ProbeClimate]:
        one = probes[0]
        kept = one.at_s != START_S + 300
        return [replace(one, at_s=one.at_s[kept], milli_c=one.milli_c[kept])]

    assert told(excursions(without_next(past(299)))) == []
    assert told(excursions(without_next(past(300)))) == [(WARM, Urgency.NOW, True)]


def test_a_hard_limit_below_is_for_now() -> None:
    cold = group(plan=plan(hard_low="15.0"))

    assert told(excursions(day_with((0, 300, 15.0)), cold)) == []
    assert told(excursions(day_with((0, 300, 14.9)), cold)) == [
        (COOL, Urgency.NOW, True)
    ]


@pytest.mark.parametrize(
    ("hours", "celsius", "urgency", "lost"),
    [
        # Zero 16.5, aim 26.5: at 21.5 half of the rate is lost. 4.8 h of it are 0.1 d.
        (4.75, 21.5, None, None),
        (4.8334, 21.5, Urgency.WATCH, 0.1),
        (19.0, 21.5, Urgency.WATCH, 0.4),
        (19.25, 21.5, Urgency.TODAY, 0.4),
        # Below zero nothing develops, but no more than the time itself is lost.
        (6.0, 10.0, Urgency.WATCH, 0.25),
        (2.0, 10.0, None, None),
    ],
)
def test_coolness_is_weighed_by_the_development_it_costs(
    hours: float, celsius: float, urgency: Urgency | None, lost: float | None
) -> None:
    """A zero of 16.5 °C is what two temperatures of a lizard give: 45.0 days at 24 °C
    and 32.1 at 27 °C (Lin, Du and Shen 2005) make 16.535 °C."""
    found = excursions(day_with((0, round(hours * H), celsius)), zero=("16.0", "17.0"))

    assert [a.urgency for a in found] == ([urgency] if urgency else [])
    if found:
        assert found[0].facts["lost_days"] == lost
        assert found[0].facts["zero_c"] == 16.5


def test_evidence_of_warmth_can_be_checked_on_paper() -> None:
    # 2 h at 29 °C (2 K·h) and 10 min at 31 °C (0.5 K·h), the rest at 26.5 °C.
    (found,) = excursions(day_with((0, 2 * H, 29.0), (6 * H, 6 * H + 600, 31.0)))

    assert found.facts == {
        "boxes": ["B-1"],
        "eggs": 30,
        "plan": "Plan warm",
        "phase": "warm",
        "period": None,
        "probe": "P-1",
        "remark": "",
        "high": 28.0,
        "hard_high": 30.0,
        "highest": 31.0,
        "above_s": 2 * H + 600,
        "longest_s": 2 * H,
        "past_hard_s": 600,
        "degree_hours": 2.5,
        "past_hard": True,
        # 26.5 + (2 h × 2.5 K + 1/6 h × 4.5 K) / 24 h = 26.7396
        "mean": 26.74,
        "covered_s": 24 * H,
        "expected_s": 24 * H,
    }
    assert found.detail == ("warm", "1")
    assert found.enclosure == INCUBATOR
    assert "Past the limit of 30.0 °C for 10 min." in TELLERS[WARM](found.facts, METRIC)


def test_evidence_of_coolness_can_be_checked_on_paper() -> None:
    (found,) = excursions(day_with((0, 6 * H, 19.0)), group(plan=plan(hard_low="10.0")))

    assert found.urgency is Urgency.WATCH
    assert found.facts["low"] == 25.0
    assert found.facts["hard_low"] == 10.0
    assert found.facts["lowest"] == 19.0
    assert found.facts["below_s"] == 6 * H
    assert found.facts["degree_hours"] == 36.0
    assert found.facts["lost_days"] is None
    assert found.facts["zero_c"] is None
    assert TELLERS[COOL](found.facts, METRIC).startswith("30 eggs in their warm phase")


def test_silence_leaves_it_open() -> None:
    # 17 h 45 min + 15 min of holding on are three quarters of the day; then less.
    whole = [probe(steady((0, 18 * H - 600, 26.5)))]
    thin = [probe(steady((0, 18 * H - 900, 26.5)))]

    assert told(excursions(whole)) == []
    assert told(excursions(thin)) == [
        (WARM, Urgency.WATCH, False),
        (COOL, Urgency.WATCH, False),
    ]


def test_what_was_seen_counts_however_little_was_measured() -> None:
    found = excursions([probe(steady((0, 900, 31.0)))])

    assert told(found) == [
        (WARM, Urgency.NOW, True),
        (COOL, Urgency.WATCH, False),
    ]


def test_without_a_probe_nothing_is_decided() -> None:
    assert told(excursions([])) == [
        (WARM, Urgency.WATCH, False),
        (COOL, Urgency.WATCH, False),
    ]


def test_a_cool_phase_wants_it_cool() -> None:
    cycle = plan(
        phase(days=20), phase("17.0", "20.0", days=30, kind=PhaseKind.COOL), phase()
    )
    # Laid on 4 November: the 24th is day 20, the first one of the cool phase.
    resting = group(plan=cycle)
    before = replace(resting, laid_on=resting.laid_on.replace(day=5))

    assert told(excursions(day_with((0, 24 * H, 18.5)), resting)) == []
    assert told(excursions(day_with(), resting)) == [(WARM, Urgency.TODAY, True)]
    assert told(excursions(day_with(), before)) == []


def test_in_a_cool_phase_no_development_is_counted() -> None:
    resting = group(plan=plan(phase("17.0", "20.0", kind=PhaseKind.COOL)))

    (found,) = excursions(day_with((0, 24 * H, 14.0)), resting, zero=("12.0", None))

    # 24 h at 3 K below are 72 K·h.
    assert found.urgency is Urgency.TODAY
    assert found.facts["lost_days"] is None


def test_boxes_with_different_phases_are_judged_each_by_its_own() -> None:
    cycle = plan(phase("17.0", "20.0", days=30, kind=PhaseKind.COOL), phase())
    young = group(plan=cycle, clutch=2, box=2, box_code="B-2", eggs=20)
    old = group(plan=cycle, laid_on=young.laid_on.replace(month=8))
    also_old = replace(old, clutch=3, box=3, box_code="B-0", eggs=5)

    found = excursions(day_with(), young, old, also_old)

    assert [(a.kind, a.detail, a.facts["boxes"]) for a in found] == [
        (WARM, ("warm", "1"), ["B-2"])
    ]
    found = excursions(day_with((0, 24 * H, 18.5)), young, old, also_old)
    assert [(a.kind, a.facts["boxes"], a.facts["eggs"]) for a in found] == [
        (COOL, ["B-0", "B-1"], 35)
    ]


def test_day_and_night_are_judged_apart_where_they_differ() -> None:
    # Lights from 8 to 20: by day 26–28, by night 20–22.
    both = group(plan=plan(phase("26.0", "28.0", night=("20.0", "22.0"))))
    right = steady((0, 8 * H, 21.0), (8 * H, 20 * H, 27.0), (20 * H, 24 * H, 21.0))

    assert excursions([probe(right)], both) == []
    found = excursions([probe(steady((0, 24 * H, 27.0)))], both)
    assert [(a.kind, a.urgency, a.detail, a.facts["period"]) for a in found] == [
        (WARM, Urgency.TODAY, ("warm", "1", "night"), "night")
    ]
    # 5 K above in 12 h of night, in two pieces of 8 and 4 h.
    assert found[0].facts["degree_hours"] == 60.0
    assert found[0].facts["longest_s"] == 8 * H


def test_of_several_probes_the_one_that_shows_most() -> None:
    probes = [
        probe(steady((0, 24 * H, 28.5)), id=1),
        probe(steady((0, 24 * H, 29.0)), id=2),
        probe(steady((0, 24 * H, 26.5)), id=3),
    ]

    (found,) = excursions(probes)

    assert found.facts["probe"] == "P-2"
    assert found.facts["degree_hours"] == 24.0


def test_a_silent_probe_leaves_open_what_another_one_denies() -> None:
    probes = [probe(steady(DAY_LONG), id=1), probe([], id=2)]

    assert told(excursions(probes)) == [
        (WARM, Urgency.WATCH, False),
        (COOL, Urgency.WATCH, False),
    ]


def test_probes_among_the_eggs_go_before_others() -> None:
    air = probe(steady((0, 24 * H, 29.0)), id=2, zone=Zone.AMBIENT)

    assert excursions([*day_with(), air]) == []
    (found,) = excursions([air])
    assert found.facts["remark"].startswith("No probe lies among the eggs")


def test_eggs_are_judged_from_when_they_came() -> None:
    # Hot until 12:00; the box came at 13:00.
    hot = day_with((0, 12 * H, 35.0))
    came = spells((None, START_S - 99, START_S + 13 * H), (10, START_S + 13 * H, None))
    long_there = spells((10, START_S - 5 * H, START_S + 99), (10, START_S + 99, None))

    assert excursions(hot, spells=came) == []
    assert told(excursions(hot, spells=long_there)) == [(WARM, Urgency.NOW, True)]


def test_what_was_before_a_move_is_told_of_where_it_was() -> None:
    # Hot until 15:00, when somebody noticed and took the box out of the heat.
    hot = day_with((0, 15 * H, 35.0))
    rescued = spells(
        (10, START_S - 5 * H, START_S + 15 * H), (20, START_S + 15 * H, None)
    )
    nowhere = spells(
        (10, START_S - 5 * H, START_S + 15 * H), (None, START_S + 15 * H, None)
    )
    before = spells((10, START_S - 5 * H, START_S), (20, START_S, None))

    for moved, now in [(rescued, 20), (nowhere, None)]:
        found = excursions(hot, group(incubator=now), spells=moved)
        assert told(found) == [(WARM, Urgency.NOW, True)]
        assert found[0].enclosure == 10
    assert excursions(hot, group(incubator=20), spells=before) == []


@pytest.mark.parametrize(
    "changes",
    [{"plan": None}, {"eggs": 0}, {"incubator": None}, {"laid_on": "tomorrow"}],
)
def test_what_wants_nothing_is_compared_with_nothing(changes: dict[str, Any]) -> None:
    if "laid_on" in changes:
        changes = {"laid_on": night().day.on.replace(day=25)}

    assert excursions(day_with((0, 24 * H, 35.0)), group(**changes)) == []


def test_the_limit_names_the_profiles_word() -> None:
    rows = {row.id: row for row in VEILED.targets}
    hard = rows["eggs-day"].provenance
    own = plan()
    profiles = replace(own, code="", rule_id="eggs-day", provenance=hard)

    (found,) = excursions(day_with((0, 24 * H, 29.0)), group(plan=profiles))

    assert (found.rule_id, found.provenance) == ("eggs-day", hard)
    assert found.detail == ("profile-7", "1")


WHILE = st.tuples(
    st.integers(0, 280), st.integers(1, 288), st.decimals(10, 40, places=1).map(float)
)


def worst(found: list[Assessment], kind: FindingKind) -> int:
    ranks = [URGENCY_ORDER[a.urgency] for a in found if a.kind is kind and a.decided]
    return min(ranks, default=len(URGENCY_ORDER))


@given(st.lists(WHILE, max_size=3), st.floats(0.1, 3.0))
def test_more_warmth_is_never_less_urgent(
    parts: list[tuple[int, int, float]], more_c: float
) -> None:
    spans = [(300 * at, min(300 * (at + n), 24 * H), c) for at, n, c in parts]

    as_it_was = excursions(day_with(*spans))
    warmer = excursions(day_with(*((at, until, c + more_c) for at, until, c in spans)))

    assert worst(warmer, WARM) <= worst(as_it_was, WARM)
    assert worst(warmer, COOL) >= worst(as_it_was, COOL)


@given(st.lists(WHILE, max_size=3), st.randoms(use_true_random=False))
def test_the_order_of_readings_does_not_matter(
    parts: list[tuple[int, int, float]], order: Any
) -> None:
    spans = [(300 * at, min(300 * (at + n), 24 * H), c) for at, n, c in parts]
    readings = dict(steady(DAY_LONG)) | dict(steady(*spans))
    shuffled = list(readings.items())
    order.shuffle(shuffled)

    assert excursions([probe(shuffled)]) == excursions(day_with(*spans))
