"""The table behind a finding: every number, in words and the reader's units."""

from typing import Any

import pytest

from core.units import MassUnit, TemperatureUnit
from husbandry.rules.sentences.numbers import METRIC, Units
from staff.evidence import evidence_rows
from staff.units import count
from tests.staff.samples import COLD, OVERDUE, PRACTICE

IMPERIAL = Units(TemperatureUnit.F, MassUnit.OZ)


def rows(evidence: dict[str, Any], units: Units = METRIC) -> dict[str, str]:
    return {row.label: row.value for row in evidence_rows(evidence, units=units)}


def test_conditions_are_told_whole() -> None:
    assert rows(COLD) == {
        "Probe": "P-1",
        "Where": "At the basking spot",
        "What": "Temperature",
        "Part of the day": "day",
        "Wanted": "28.0–31.0 °C",
        "Mean, weighted by time": "27.1 °C",
        "Lowest": "22.0 °C",
        "Highest": "30.5 °C",
        "Extreme at": "1 Mar 2026, 08:40",
        "Limit past which to act at once": "20.0 °C",
        "Outside the band, in all": "2 h 15 min",
        "Tolerated": "1 h",
        "Longest at a stretch": "2 h 15 min",
        "Beginning at": "1 Mar 2026, 08:00",
        "How far × how long": "310 °C × min",
        "Readings": "144",
        "Measured": "12 h",
        "Of a whole": "12 h",
        "Care profile": "version 1, row a-row",
        "Source of what is wanted": "Common practice, no source",
        "Source last looked at": "1 Jan 2026",
    }


def test_a_difference_of_temperatures_has_no_offset() -> None:
    told = rows(COLD, IMPERIAL)

    # 310 K min are 310 × 9/5 = 558 °F min; 22 °C are 71.6 °F.
    assert (told["How far × how long"], told["Lowest"]) == ("558 °F × min", "71.6 °F")


@pytest.mark.parametrize(
    ("quantity", "expected"),
    [("humidity_pct", "310 points of % × min"), ("uv_index", "310 UV index × min")],
)
def test_depth_has_the_unit_of_its_quantity(quantity: str, expected: str) -> None:
    assert rows({**COLD, "quantity": quantity})["How far × how long"] == expected


def test_an_open_band_is_told_by_its_one_end() -> None:
    told = rows({**COLD, "high": None, "hard": None})

    assert told["Wanted"] == "at least 28.0 °C"
    assert "Limit past which to act at once" not in told


def test_a_weighing_is_told_in_the_readers_unit() -> None:
    # 118.40 g by 28.349523125 g an ounce are 4.176 oz.
    assert rows(OVERDUE, IMPERIAL)["It weighed then"] == "4.18 oz"


@pytest.mark.parametrize(
    ("evidence", "expected"),
    [
        ({}, {}),
        ({"change_pct": -7.5}, {"Change": "−7.5 %"}),
        ({"slope_g_per_day": -0.02}, {"Trend": "−0.02 g a day"}),
        ({"slope_g_per_day": 0.3, "slope_low": None}, {"Trend": "+0.30 g a day"}),
        (
            {"missing": [{"quantity": "uv_index", "zone": "basking"}]},
            {"Measured by nothing": "UV index at the basking spot"},
        ),
        (
            {"failed": [{"dimension": "height", "is_cm": 90.0, "min_cm": 120.0}]},
            {"Too small": "height 90 cm, at least 120 cm wanted"},
        ),
        ({"size_cm": [60.0, 60.0, 90.5]}, {"Width × depth × height": "60 × 60 × 90.5 cm"}),
        ({"with": ["V-1", "V-2"]}, {"Together with": "V-1, V-2"}),
        (
            {"seen": [{"animal": "V-1", "enclosure": "E-2"}]},
            {"In sight": "V-1 (E-2)"},
        ),
        ({"gravid": True}, {"Gravid": "yes"}),
        ({"light_h": 14.5}, {"Lights burn": "14.5 h"}),
        ({"limit_pct": 10.0, "window_days": 1}, {"Limit of loss": "10 %", "Looked back": "1 day"}),
        ({"last_on": None, "last_g": None}, {}),
        ({"moon_phase": "new"}, {"Moon phase": "new"}),
    ],
)  # fmt: skip
def test_each_kind_has_its_words(
    evidence: dict[str, Any], expected: dict[str, str]
) -> None:
    assert rows(evidence) == expected


def test_a_note_on_the_source_is_told() -> None:
    told = rows({"basis": {**PRACTICE, "note": "A blog.", "row": ""}})

    assert told["Note on the source"] == "A blog."
    assert told["Care profile"] == "version 1, row –"


def test_counts_are_read_with_their_word() -> None:
    assert [count(n, "night") for n in (0, 1, 2)] == ["0 nights", "1 night", "2 nights"]
    assert count(1200, "animal") == "1\u202f200 animals"
