"""Kaplan–Meier with censoring beside another program, on the data that it carries.

`lifelines.json` holds four data sets that lifelines 0.30.3 packages (waltons, leukemia,
lung, larynx) and what its KaplanMeierFitter makes of them, written down once, so that
the program itself is not needed here. Its intervals are on the scale log(−log), too.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from clutches.rules.statistics import kaplan_meier

FILE = Path(__file__).parent / "lifelines.json"
SETS: dict[str, dict[str, Any]] = json.loads(FILE.read_text(encoding="utf-8"))["sets"]


@pytest.mark.parametrize("name", SETS)
def test_each_step_is_theirs(name: str) -> None:
    data = SETS[name]

    course = kaplan_meier(data["times"], [bool(over) for over in data["ended"]])

    steps = [(s.at, s.at_risk, s.ended) for s in course.steps]
    assert steps == [tuple(row[:3]) for row in data["steps"]]
    assert [s.surviving for s in course.steps] == pytest.approx(
        [row[3] for row in data["steps"]], abs=1e-12
    )
    assert course.median == data["median"]


@pytest.mark.parametrize("name", SETS)
def test_each_interval_is_theirs_while_some_are_left(name: str) -> None:
    data = SETS[name]

    course = kaplan_meier(data["times"], [bool(over) for over in data["ended"]])

    # Where none is left they give none, or zero; ours says what none of so many means.
    left = [i for i, row in enumerate(data["steps"]) if row[3] > 0]
    ours = [(course.steps[i].low, course.steps[i].high) for i in left]
    theirs = [tuple(data["steps"][i][4:]) for i in left]
    assert ours == [pytest.approx(pair, abs=1e-9) for pair in theirs]


def test_the_sets_have_censored_times() -> None:
    assert all(0 < sum(data["ended"]) < len(data["times"]) for data in SETS.values())
