"""The tables behind findings of care, health and growth: no code, no bare unit."""

import re
from typing import Any

import pytest

from core.units import MassUnit
from husbandry.rules.sentences import care, growth, health
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import FindingKind
from staff.care_evidence import LINES
from staff.evidence import evidence_rows
from tests.rules import test_care_sentences as told_care
from tests.rules import test_growth_sentences as told_growth
from tests.rules.test_sentences import TOLD

K = FindingKind
RAW = re.compile(r"_|\d{4}-\d\d-\d\d|True|False|None|[{}\[\]]|-convention")
SAMPLES: dict[FindingKind, dict[str, Any]] = {
    K.GROWTH_BEHIND: told_growth.BY_MATES
    | {
        "scaled_mad_g": "2.1",
        "rank": 9,
        "limit_mads": 2.5,
        "within_days": 3,
        "policy": "convention",
        "gain_low": None,
        "weighed_mates": [
            {"animal": "V-1 Ruiz", "mass_g": "30", "on": "2026-03-30", "age_days": 60}
        ],
    },
    K.FEEDING_MISSED: told_care.HUNGRY,
    K.SUPPLEMENT_MISSED: told_care.MONTHLY,
    K.TOO_MUCH_D3: told_care.D3,
    K.GUT_LOAD_MISSED: told_care.INSECTS,
    K.MISTING_MISSED: told_care.DRY,
    K.UV_CHECK_OVERDUE: told_care.TUBE,
    K.LAMP_WORN: told_care.WORN,
    K.FOLLOW_UP_OVERDUE: told_care.LOOK,
    K.CARE_UNRECORDED: {
        "kinds": ["feed", "gut_load", "mist", "uv_check"],
        "on": "2026-03-01",
        "animals": 3,
        "site": "Home",
    },
    **{kind: TOLD[kind][0] for kind in health.TELLERS},
}


def rows(kind: FindingKind, units: Units = METRIC) -> dict[str, str]:
    evidence = {**SAMPLES[kind], "convention": "care-task-convention"}
    found = evidence_rows(evidence, units=units, kind=kind)
    return {row.label: row.value for row in found}


def test_every_kind_of_care_health_and_growth_has_its_table() -> None:
    assert set(LINES) == {*care.TELLERS, *health.TELLERS, *growth.TELLERS}
    assert set(SAMPLES) == set(LINES)


@pytest.mark.parametrize("kind", LINES)
def test_nothing_reads_like_code(kind: FindingKind) -> None:
    told = rows(kind)

    assert told
    assert [line for line in told.items() if RAW.search(" ".join(line))] == []
    labels = [label for label in told if label not in {"Due on", "Last on"}]
    assert [label for label in labels if re.search(r" (g|ml|cm|pct)$", label)] == []


def test_mates_are_told_one_by_one_in_the_readers_unit() -> None:
    metric, ounces = (
        rows(K.GROWTH_BEHIND),
        rows(K.GROWTH_BEHIND, Units(mass=MassUnit.OZ)),
    )

    assert metric["The mates"] == "V-1 Ruiz 30.0 g at 60 days"
    assert metric["It lies"] == "−3.44 deviations"
    assert metric["Behind from"] == "−2.5 deviations"
    assert ounces["Their median"].endswith(" oz")


def test_a_meal_is_not_called_a_weighing() -> None:
    told = rows(K.FEEDING_MISSED)

    assert told["Last fed on"] == "21 Nov 2026"
    assert not any("eigh" in label for label in told)


def test_what_the_table_has_no_words_for_is_shown_all_the_same() -> None:
    found = evidence_rows(
        {"kinds": ["feed"], "moon_phase": "full_moon"},
        units=METRIC,
        kind=K.CARE_UNRECORDED,
    )

    assert [(row.label, row.value) for row in found] == [
        ("Never recorded", "feeding"),
        ("Moon phase", "full moon"),
    ]
