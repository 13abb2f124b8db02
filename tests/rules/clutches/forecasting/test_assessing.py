"""Who is due to hatch, who is late, and how urgent that is."""

from datetime import timedelta
from typing import Any

import pytest

from clutches.rules.facts import EggGroup
from clutches.rules.forecasting import assess_hatching, forecasts_of
from husbandry.rules.assessments import Assessment
from husbandry.rules.clock import LocalDay
from husbandry.rules.profiles.values import Profile
from husbandry.rules.sentences.breeding_steps import STEPS
from husbandry.rules.sentences.findings import describe
from husbandry.rules.vocabulary import FindingKind, Urgency
from tests.rules.clutches.forecasting.made import (
    LAID_ON,
    group,
    herd,
    profile,
    track,
)
from tests.rules.clutches.incubation.made import night

DUE, OVERDUE = FindingKind.HATCH_DUE, FindingKind.HATCH_OVERDUE
WATCH, TODAY = Urgency.WATCH, Urgency.TODAY
OWN = herd([26.0] * 3, zero=16.0, total=1300.0, rest=65)


def found(
    eggs: EggGroup, of: Profile, day: int, *own: Any, celsius: float = 26.0
) -> list[Assessment]:
    made = night(
        eggs,
        day=LocalDay(LAID_ON + timedelta(days=day), 0, 86400),
        tracks={(7, 3): track((min(day, 150), celsius))},
        past=own,
        profiles={1: (1, of)},
    )
    return list(assess_hatching(made, forecasts_of(made)))


@pytest.mark.parametrize(
    ("day", "eggs", "expected"),
    [
        (176, group(), None),
        # Three days before the window of 180 to 275 days.
        (177, group(), (DUE, WATCH)),
        (227, group(), (DUE, WATCH)),
        # Never late at the middle, nor on the last day.
        (228, group(), (DUE, WATCH)),
        (275, group(), (DUE, WATCH)),
        (276, group(), (OVERDUE, TODAY)),
        (176, group(pipped=1), (DUE, TODAY)),
        (200, group(pipped=2), (DUE, TODAY)),
        (176, group(hatched=3), (DUE, WATCH)),
        (300, group(eggs=0), None),
    ],
)
def test_by_the_profiles_window(
    day: int, eggs: EggGroup, expected: tuple[FindingKind, Urgency] | None
) -> None:
    told = [(one.kind, one.urgency) for one in found(eggs, profile(), day)]

    assert told == ([expected] if expected else [])


@pytest.mark.parametrize(
    ("day", "pipped", "expected"),
    [
        # Own clutches took 194 to 196 days; the window ends on day 196.
        (196, 0, (DUE, WATCH)),
        (197, 0, (OVERDUE, WATCH)),
        (197, 1, (OVERDUE, TODAY)),
        # Past the profile's longest time.
        (275, 0, (OVERDUE, WATCH)),
        (276, 0, (OVERDUE, TODAY)),
    ],
)
def test_by_own_clutches(
    day: int, pipped: int, expected: tuple[FindingKind, Urgency]
) -> None:
    of = profile(rest=("50", "80"))

    [one] = found(group(pipped=pipped), of, day, *OWN)

    assert (one.kind, one.urgency) == expected
    assert (one.facts["rests_on"], one.facts["past"]) == ("own_clutches", 3)
    assert (one.rule_id, one.provenance) == ("", None)


def test_late_without_a_window_in_the_profile_is_watched() -> None:
    published = profile(hatch=None, zero="16", degree_days="300")

    [one] = found(group(), published, 140)

    assert (one.kind, one.urgency) == (OVERDUE, WATCH)
    assert one.rule_id == "development_degree_days"


def test_evidence_is_what_the_sentence_takes() -> None:
    [one] = found(group(pipped=1, hatched=2), profile(), 200)

    assert one == Assessment(
        kind=DUE,
        urgency=TODAY,
        facts={
            "clutch": "C-07",
            "box": "B-3",
            "eggs": 20,
            "pipped": 1,
            "hatched": 2,
            "day": 200,
            "earliest_on": "2026-07-09",
            "likely_on": "2026-08-26",
            "latest_on": "2026-10-12",
            "coverage": None,
            "rests_on": "profile_window",
            "past": 0,
        },
        rule_id="hatch_days",
        provenance=profile().incubation[0].provenance,
        detail=("clutch", str(group().clutch), str(group().box)),
        enclosure=10,
    )


def test_sentence_tells_the_window_as_a_window() -> None:
    [one] = found(group(), profile(), 200)

    told = describe(one.kind, {**one.facts, "basis": None})

    assert told.what.startswith(
        "Day 200: 20 eggs expected to hatch between 30 Jul 2026"
    )


def test_step_of_late_eggs_keeps_them() -> None:
    step, _ = STEPS[OVERDUE]
    assert "stay" in step
    assert "do not cut one open" in step


def test_group_without_a_window_is_passed_over() -> None:
    assert found(group(), profile(hatch=None), 200, celsius=15.0) == []
