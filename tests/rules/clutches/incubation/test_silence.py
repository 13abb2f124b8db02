"""Gaps among eggs: from when to when, what was known on both sides, and whose they were.

From an hour on a gap is told, from six hours or with a fall of 1 K today:
incubation-convention.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from clutches.rules.facts import EggGroup
from clutches.rules.incubation import IncubationFound, assess_incubation
from clutches.rules.incubation.climate import ProbeClimate
from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency, Zone
from tests.rules.clutches.incubation.made import (
    HOUR_S,
    INCUBATOR,
    START_S,
    climate,
    group,
    night,
    probe,
    spells,
    steady,
    track,
)

K = FindingKind
H = HOUR_S


def found_in(
    probes: Sequence[ProbeClimate], *groups: EggGroup, **changes: Any
) -> tuple[list[Assessment], IncubationFound]:
    found = assess_incubation(
        night(*(groups or (group(),)), **changes), climate(probes)
    )
    return [a for a in found.assessments if a.kind is K.EGGS_UNMEASURED], found


def test_a_power_cut_is_told_with_what_was_known_on_both_sides() -> None:
    # The last reading at 00:55 holds until 01:10; the next one comes at 04:10.
    cut = steady((0, H, 27.9), (4 * H + 600, 24 * H, 22.4))

    (told,), found = found_in([probe(cut)])

    assert told.urgency is Urgency.TODAY
    assert told.enclosure == INCUBATOR
    assert told.facts == {
        "boxes": ["B-1"],
        "eggs": 30,
        "probes": ["P-1"],
        "gaps": [
            {
                "from": "2026-11-24 01:10",
                "until": "2026-11-24 04:10",
                "before_c": 27.9,
                "after_c": 22.4,
                "fell": True,
            }
        ],
        "hours": 3.0,
        "why": "gap",
    }
    assert found.supersedes == {"no_data:probe:1"}


@pytest.mark.parametrize(
    ("after_c", "until_s", "urgency", "fell"),
    [
        # 27.0 before; from 01:10 on.
        (26.1, 4200 + H, Urgency.WATCH, False),
        (26.0, 4200 + H, Urgency.TODAY, True),
        (28.5, 4200 + 6 * H - 300, Urgency.WATCH, False),
        (28.5, 4200 + 6 * H, Urgency.TODAY, False),
    ],
)
def test_how_urgent_a_gap_is(
    after_c: float, until_s: int, urgency: Urgency, fell: bool
) -> None:
    (told,), _ = found_in([probe(steady((0, H, 27.0), (until_s, 24 * H, after_c)))])

    assert told.urgency is urgency
    assert told.facts["gaps"][0]["fell"] is fell


def test_less_than_an_hour_is_no_gap_and_leaves_the_probe_to_its_own_review() -> None:
    short = steady((0, H, 27.0), (4200 + H - 300, 24 * H, 27.0))

    told, found = found_in([probe(short)])

    assert told == []
    assert found.supersedes == frozenset()


def test_several_gaps_add_up() -> None:
    often = steady((0, H, 27.0), (3 * H, 4 * H, 27.0), (8 * H, 24 * H, 27.0))

    (told,), _ = found_in([probe(often)])

    assert [(g["from"][-5:], g["until"][-5:]) for g in told.facts["gaps"]] == [
        ("01:10", "03:00"),
        ("04:10", "08:00"),
    ]
    # 1 h 50 min and 3 h 50 min are 5.7 h.
    assert told.facts["hours"] == 5.7


def test_silence_from_the_evening_before_to_the_evening_after() -> None:
    before = track(26.0, 27.5, float("nan"))

    (told,), _ = found_in([probe([])], tracks=before)

    assert told.facts["gaps"] == [
        {
            "from": None,
            "until": None,
            "before_c": 27.5,
            "after_c": None,
            "fell": False,
        }
    ]
    assert told.facts["hours"] == 24.0


def test_a_night_without_power_is_compared_with_the_evening() -> None:
    (told,), _ = found_in(
        [probe(steady((5 * H, 24 * H, 21.0)))], tracks=track(27.5, float("nan"))
    )

    (gap,) = told.facts["gaps"]
    assert (gap["from"], gap["until"]) == (None, "2026-11-24 05:00")
    assert (gap["before_c"], gap["after_c"], gap["fell"]) == (27.5, 21.0, True)


@pytest.mark.parametrize("tracks", [{}, track(float("nan"))])
def test_nothing_is_known_of_the_evening(tracks: Any) -> None:
    (told,), _ = found_in([probe([])], tracks=tracks)

    assert told.facts["gaps"][0]["before_c"] is None


def test_another_probe_among_the_eggs_fills_a_gap() -> None:
    probes = [
        probe(steady((0, 6 * H, 27.0)), id=1),
        probe(steady((6 * H, 24 * H, 27.0)), id=2),
    ]

    assert found_in(probes)[0] == []


def test_a_probe_in_the_air_does_not_fill_a_gap_among_the_eggs() -> None:
    air = probe(steady((0, 24 * H, 27.0)), id=2, zone=Zone.AMBIENT)

    (told,), found = found_in([probe([], id=1), air])

    assert told.facts["probes"] == ["P-1"]
    assert found.supersedes == {"no_data:probe:1"}


def test_impossible_values_tell_nothing() -> None:
    broken = steady((0, 6 * H, 27.0), (6 * H, 9 * H, 85.0), (9 * H, 24 * H, 27.0))

    (told,), _ = found_in([probe(broken)])

    assert told.facts["hours"] == 3.0


def test_an_incubator_without_a_probe() -> None:
    other = group(clutch=2, box=2, box_code="B-2", eggs=12)

    (told,), found = found_in([], group(), other)

    assert told.urgency is Urgency.TODAY
    assert told.enclosure == INCUBATOR
    assert told.facts["why"] == "no_probe"
    assert (told.facts["boxes"], told.facts["eggs"]) == (["B-1", "B-2"], 42)
    assert found.supersedes == frozenset()


def test_a_box_that_stands_nowhere() -> None:
    lost = group(incubator=None, clutch=2, box=2, box_code="B-2", eggs=12)
    same_box = replace(lost, clutch=3, eggs=3)

    (told,), _ = found_in([probe(steady((0, 24 * H, 27.0)))], group(), lost, same_box)

    assert told.facts["why"] == "nowhere"
    assert (told.facts["boxes"], told.facts["eggs"]) == (["B-2"], 15)
    assert (told.enclosure, told.detail) == (None, ("box", "2"))


def test_what_was_before_the_eggs_came_is_no_gap() -> None:
    came = spells((None, START_S - 9, START_S + 5 * H), (10, START_S + 5 * H, None))

    told, _ = found_in([probe(steady((5 * H, 24 * H, 26.0)))], spells=came)
    assert told == []

    # Two more hours of silence begin with them; the evening says nothing of here.
    (told_late,), _ = found_in(
        [probe(steady((7 * H, 24 * H, 26.0)))], spells=came, tracks=track(30.0)
    )
    assert told_late.facts["gaps"] == [
        {
            "from": "2026-11-24 05:00",
            "until": "2026-11-24 07:00",
            "before_c": None,
            "after_c": 26.0,
            "fell": False,
        }
    ]


def test_an_incubator_without_eggs_may_be_silent() -> None:
    assert found_in([], group(eggs=0))[0] == []


def looks(*groups: EggGroup, **changes: Any) -> list[Assessment]:
    facts = night(*groups, **changes)
    found = assess_incubation(facts, climate([probe(steady((0, 24 * H, 27.0)))]))
    return [a for a in found.assessments if a.kind is K.BOX_UNCHECKED]


@pytest.mark.parametrize(
    ("checked_on", "urgency"),
    [
        # The shipped profile: 7 to 14 days, a convention.
        (date(2026, 11, 10), None),
        (date(2026, 11, 9), Urgency.WATCH),
        (date(2026, 10, 28), Urgency.WATCH),
        (date(2026, 10, 27), Urgency.TODAY),
    ],
)
def test_a_box_is_to_be_looked_into(checked_on: date, urgency: Urgency | None) -> None:
    found = looks(group(checked_on=checked_on))

    assert [a.urgency for a in found] == ([urgency] if urgency else [])


def test_evidence_of_a_box_that_nobody_looked_into() -> None:
    one = group(checked_on=date(2026, 11, 4))
    other = group(clutch=2, clutch_code="C-0", checked_on=None)

    (found,) = looks(one, other)

    assert found.facts == {
        "box": "B-1",
        "clutches": ["C-0", "C-1"],
        "checked_on": "2026-11-04",
        "days": 20,
        "limit_days": 14,
    }
    assert (found.rule_id, found.detail) == ("eggs-check", ("box", "1"))
    assert found.provenance is not None


def test_without_a_look_days_count_from_when_it_came_to_an_incubator() -> None:
    never = group(checked_on=None)
    days_s = 86_400

    came = spells((None, START_S - 40 * days_s, START_S - 15 * days_s))
    assert looks(never, spells=came) == []
    came = spells(
        (None, START_S - 40 * days_s, START_S - 15 * days_s),
        (10, START_S - 15 * days_s, None),
    )
    (found,) = looks(never, spells=came)
    assert (found.facts["checked_on"], found.facts["days"]) == (None, 15)


def test_a_species_without_that_figure_or_without_a_profile_asks_for_no_look() -> None:
    long_ago = group(checked_on=date(2026, 1, 1))

    assert looks(long_ago, profiles={}) == []
    version, veiled = night().profiles[7]
    bare = replace(veiled, incubation=())
    assert looks(long_ago, profiles={7: (version, bare)}) == []


def test_eggs_in_no_box_are_told_clutch_by_clutch() -> None:
    facts = night(unplaced=((5, "C-5", 12), (6, "C-6", 1)))

    found = assess_incubation(facts, climate([])).assessments

    assert [(a.kind, a.urgency, a.detail, a.facts) for a in found] == [
        (
            K.EGGS_UNPLACED,
            Urgency.TODAY,
            ("clutch", "5"),
            {"clutch": "C-5", "eggs": 12},
        ),
        (K.EGGS_UNPLACED, Urgency.TODAY, ("clutch", "6"), {"clutch": "C-6", "eggs": 1}),
    ]
