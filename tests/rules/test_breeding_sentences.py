"""Breeding in words: windows, units, no alarm where none is due.

The cautions (unplug first, never turn an egg, a licensed vet for a female that does
not lay) are common practice, no source.
"""

import re
from typing import Any

import pytest
from django.conf import settings

from core.units import TemperatureUnit
from husbandry.rules.policies import NEVER_LESS
from husbandry.rules.sentences.breeding import STEPS, TELLERS
from husbandry.rules.sentences.findings import who
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import FindingKind

K = FindingKind
KINDS = {
    K.EGGS_TOO_WARM,
    K.EGGS_TOO_COOL,
    K.EGGS_UNMEASURED,
    K.EGGS_UNPLACED,
    K.BOX_UNCHECKED,
    K.HATCH_DUE,
    K.HATCH_OVERDUE,
    K.LAYING_OVERDUE,
    K.SPUR_LOOK_DUE,
}
WARM: dict[str, Any] = {
    "boxes": ["B-1", "B-2"],
    "eggs": 70,
    "plan": "Veiled chameleon: what the care profile wants",
    "phase": "warm",
    "period": None,
    "probe": "P-3",
    "remark": "The probe hangs in the air, not among the eggs.",
    "high": 28.0,
    "hard_high": 30.0,
    "highest": 31.2,
    "above_s": 10_800,
    "past_hard_s": 1500,
    "longest_s": 7800,
    "degree_hours": 4.5,
    "mean": 27.94,
    "covered_s": 82_800,
    "expected_s": 86_400,
    "past_hard": True,
}
COOL: dict[str, Any] = {
    "boxes": ["B-2"],
    "eggs": 1,
    "plan": "Cool rest",
    "phase": "cool",
    "period": "night",
    "probe": "P-3",
    "remark": "",
    "low": 18.0,
    "hard_low": 10.0,
    "lowest": 14.5,
    "below_s": 21_600,
    "past_hard_s": 0,
    "longest_s": 21_600,
    "degree_hours": 15.0,
    "lost_days": 0.6,
    "zero_c": 12.0,
    "mean": 17.5,
    "covered_s": 43_200,
    "expected_s": 43_200,
    "past_hard": False,
}
SILENT: dict[str, Any] = {
    "boxes": ["B-1", "B-2", "B-3"],
    "eggs": 90,
    "probes": ["P-3"],
    "gaps": [
        {
            "from": "2026-11-25 01:10",
            "until": "2026-11-25 04:10",
            "before_c": 27.9,
            "after_c": 22.4,
            "fell": True,
        }
    ],
    "hours": 3.0,
    "why": "gap",
}
UNCHECKED: dict[str, Any] = {
    "box": "B-2",
    "clutches": ["C-07", "C-09"],
    "checked_on": "2026-11-05",
    "days": 20,
    "limit_days": 14,
}
DUE: dict[str, Any] = {
    "clutch": "C-07",
    "box": "B-2",
    "eggs": 35,
    "pipped": 0,
    "hatched": 0,
    "day": 190,
    "earliest_on": "2026-12-01",
    "likely_on": "2026-12-20",
    "latest_on": "2027-01-20",
    "coverage": 0.8,
    "rests_on": "own_clutches",
    "past": 4,
}
EGG_BOUND: dict[str, Any] = {
    "mated_on": "2026-10-01",
    "days": 55,
    "window_from": "2026-10-21",
    "window_until": "2026-11-05",
    "sire": "V-0401 Boz",
}
HEELS: dict[str, Any] = {
    "looks": [
        {"left": "present", "right": "absent", "by": "Ilda", "on": "2026-11-13"},
        {"left": "present", "right": "present", "by": None, "on": "2026-11-20"},
    ],
    "why": "disagree",
    "days": 12,
}
SAMPLES: dict[FindingKind, dict[str, Any]] = {
    K.EGGS_TOO_WARM: WARM,
    K.EGGS_TOO_COOL: COOL,
    K.EGGS_UNMEASURED: SILENT,
    K.EGGS_UNPLACED: {"clutch": "C-07", "eggs": 12},
    K.BOX_UNCHECKED: UNCHECKED,
    K.HATCH_DUE: DUE,
    K.HATCH_OVERDUE: DUE,
    K.LAYING_OVERDUE: EGG_BOUND,
    K.SPUR_LOOK_DUE: HEELS,
}


def tell(
    kind: FindingKind, changes: dict[str, Any] | None = None, units: Units = METRIC
) -> str:
    return TELLERS[kind](SAMPLES[kind] | (changes or {}), units)


@pytest.mark.parametrize(
    ("kind", "changes", "expected"),
    [
        (
            K.EGGS_TOO_WARM,
            {},
            "70 eggs in their warm phase: above the wanted 28.0 °C for 3 h of 23 h "
            "measured, 2 h 10 min at a stretch; mean 27.9 °C, highest 31.2 °C. Past the "
            "limit of 30.0 °C for 25 min.",
        ),
        (
            K.EGGS_TOO_WARM,
            {"past_hard": False, "highest": 29.0, "period": "day"},
            "70 eggs in their warm phase by day: above the wanted 28.0 °C for 3 h of "
            "23 h measured, 2 h 10 min at a stretch; mean 27.9 °C, highest 29.0 °C.",
        ),
        (
            K.EGGS_TOO_COOL,
            {},
            "1 egg in the cool phase by night: below the wanted 18.0 °C for 6 h of 12 h "
            "measured, 6 h at a stretch; mean 17.5 °C, lowest 14.5 °C. It sets "
            "development back by about 0.6 days.",
        ),
        (
            K.EGGS_TOO_COOL,
            {"eggs": 2, "period": None, "lost_days": None},
            "2 eggs in their cool phase: below the wanted 18.0 °C for 6 h of 12 h "
            "measured, 6 h at a stretch; mean 17.5 °C, lowest 14.5 °C. It slows "
            "development; by how much is not known for this species.",
        ),
        (
            K.EGGS_TOO_COOL,
            {"eggs": 2, "period": None, "past_hard": True, "past_hard_s": 1800},
            "2 eggs in their cool phase: below the wanted 18.0 °C for 6 h of 12 h "
            "measured, 6 h at a stretch; mean 17.5 °C, lowest 14.5 °C. Past the limit "
            "of 10.0 °C for 30 min.",
        ),
        (
            K.EGGS_UNMEASURED,
            {},
            "90 eggs, and for 3 h nobody knows how warm: from 25 Nov 2026 01:10 to "
            "25 Nov 2026 04:10 (27.9 °C before and 22.4 °C after). A fall like that "
            "looks like a power cut.",
        ),
        (
            K.EGGS_UNMEASURED,
            {
                "hours": 24.0,
                "gaps": [
                    {
                        "from": None,
                        "until": None,
                        "before_c": None,
                        "after_c": None,
                        "fell": False,
                    }
                ],
            },
            "90 eggs, and for 24 h nobody knows how warm: from the day's beginning to "
            "the day's end.",
        ),
        (
            K.EGGS_UNMEASURED,
            {"why": "no_probe", "gaps": []},
            "90 eggs where nothing measures the temperature.",
        ),
        (
            K.EGGS_UNMEASURED,
            {"why": "nowhere", "gaps": [], "eggs": 1},
            "1 egg in a box that stands in no incubator on record.",
        ),
        (
            K.EGGS_UNPLACED,
            {},
            "12 eggs incubate and lie in no box on record, so nobody watches over them.",
        ),
        (
            K.EGGS_UNPLACED,
            {"eggs": 1},
            "1 egg incubates and lies in no box on record, so nobody watches over it.",
        ),
        (
            K.BOX_UNCHECKED,
            {},
            "Holds C-07 and C-09; last looked into on 5 Nov 2026, 20 days ago; a look "
            "at least every 14 days is wanted.",
        ),
        (
            K.BOX_UNCHECKED,
            {"checked_on": None},
            "Holds C-07 and C-09; no look into it is on record in 20 days; a look at "
            "least every 14 days is wanted.",
        ),
        (
            K.HATCH_DUE,
            {},
            "Day 190: 35 eggs expected to hatch between 1 Dec 2026 and 20 Jan 2027, most "
            "likely about 20 Dec 2026 (by how long earlier clutches here took and how "
            "warm they were, from 4 clutches; meant to hold for 80 % of clutches).",
        ),
        (
            K.HATCH_DUE,
            {"rests_on": "profile_window", "past": 0, "coverage": None, "pipped": 2},
            "Day 190: 35 eggs expected to hatch between 1 Dec 2026 and 20 Jan 2027, most "
            "likely about 20 Dec 2026 (by the care profile's window alone; how many "
            "clutches keep to it is not known). So far 2 pipped.",
        ),
        (
            K.HATCH_OVERDUE,
            {"eggs": 1, "past": 1, "pipped": 1, "hatched": 30},
            "Day 190: 1 egg left after the window in which the clutch was expected to "
            "hatch, 1 Dec 2026 to 20 Jan 2027 (by how long earlier clutches here took "
            "and how warm they were, from 1 clutch; meant to hold for 80 % of "
            "clutches). So far 1 pipped and 30 of the clutch hatched.",
        ),
        (
            K.LAYING_OVERDUE,
            {},
            "Put together with V-0401 Boz on 1 Oct 2026, 55 days ago; laying was "
            "expected from 21 Oct 2026 to 5 Nov 2026, and none is on record.",
        ),
        (
            K.LAYING_OVERDUE,
            {"sire": None},
            "Put together on 1 Oct 2026, 55 days ago; laying was expected from "
            "21 Oct 2026 to 5 Nov 2026, and none is on record.",
        ),
        (
            K.SPUR_LOOK_DUE,
            {},
            "Two looks at the heels disagree, so the sex is not confirmed. Seen by Ilda "
            "on 13 Nov 2026: left present, right absent; on 20 Nov 2026: left present, "
            "right present. Open for 12 days.",
        ),
    ],
)
def test_each_kind_is_told(
    kind: FindingKind, changes: dict[str, Any], expected: str
) -> None:
    assert tell(kind, changes) == expected


def test_temperatures_are_told_in_the_readers_unit() -> None:
    told = tell(K.EGGS_TOO_WARM, units=Units(temperature=TemperatureUnit.F))

    # 28, 30 and 31.2 °C are 82.4, 86 and 88.16 °F.
    assert "wanted 82.4 °F" in told
    assert "highest 88.2 °F" in told
    assert "limit of 86.0 °F" in told


@pytest.mark.parametrize(
    ("about", "expected"),
    [
        (
            {"clutch": "C-07", "box": "B-2", "enclosure": "I-1", "room": "Nursery"},
            "C-07 in box B-2 (incubator I-1, Nursery)",
        ),
        ({"boxes": ["B-1"], "room": "Nursery"}, "box B-1 (Nursery)"),
        ({"boxes": ["B-1", "B-2", "B-3"]}, "boxes B-1, B-2 and B-3"),
        ({"clutch": "C-07"}, "C-07"),
        ({"enclosure": "N-12", "room": "Nursery"}, "Nursery, N-12"),
    ],
)
def test_whom_it_is_about(about: dict[str, Any], expected: str) -> None:
    assert who(about) == expected


def test_every_kind_of_breeding_is_told_with_a_first_step() -> None:
    assert set(TELLERS) == set(STEPS) == set(SAMPLES) == KINDS


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_steps_name_only_sources_that_are_listed(kind: FindingKind) -> None:
    page = (settings.BASE_DIR / "docs" / "sources.md").read_text(encoding="utf-8")
    named = [
        key
        for group in re.findall(r"\[([a-z0-9, -]+)\]", STEPS[kind][1])
        for key in group.split(", ")
    ]

    assert [key for key in named if f"| `{key}` |" not in page] == []


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (K.EGGS_TOO_WARM, "Unplug before you touch heater, fan or water"),
        (K.EGGS_TOO_WARM, "never turn an egg over"),
        (K.EGGS_TOO_COOL, "Unplug before you touch heater, fan or water"),
        (K.EGGS_UNPLACED, "without turning them over"),
        (K.HATCH_OVERDUE, "do not cut one open"),
        (K.HATCH_DUE, "Help no hatchling out"),
        (K.LAYING_OVERDUE, "call a licensed reptile vet"),
    ],
)
def test_steps_that_may_do_harm_say_so(kind: FindingKind, words: str) -> None:
    assert words in STEPS[kind][0]


def test_a_cool_hour_is_called_harmless() -> None:
    assert STEPS[K.EGGS_TOO_COOL][1].startswith("A cool hour does eggs no harm")


def test_no_policy_makes_hot_eggs_or_a_female_that_does_not_lay_less_urgent() -> None:
    assert {K.EGGS_TOO_WARM, K.LAYING_OVERDUE} <= NEVER_LESS
