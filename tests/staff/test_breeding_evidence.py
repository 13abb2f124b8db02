"""The tables behind findings of breeding: no code, no bare unit, nothing hidden."""

import re

import pytest

from core.units import TemperatureUnit
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import FindingKind
from staff.breeding_evidence import LINES
from staff.evidence import evidence_rows
from tests.rules.test_breeding_sentences import SAMPLES
from tests.staff.test_care_evidence import RAW

K = FindingKind


def rows(kind: FindingKind, units: Units = METRIC) -> dict[str, str]:
    found = evidence_rows(SAMPLES[kind], units=units, kind=kind)
    return {row.label: row.value for row in found}


def test_every_kind_has_its_table() -> None:
    assert set(LINES) == set(SAMPLES)


@pytest.mark.parametrize("kind", LINES)
def test_nothing_reads_like_code(kind: FindingKind) -> None:
    told = rows(kind)

    assert told
    assert [line for line in told.items() if RAW.search(" ".join(line))] == []
    assert [label for label in told if re.search(r" (g|c|s|pct)$", label)] == []


def test_warmth_is_told_whole() -> None:
    assert rows(K.EGGS_TOO_WARM) == {
        "Boxes": "B-1 and B-2",
        "Eggs": "70",
        "Kept by": "Veiled chameleon: what the care profile wants",
        "Phase": "warm",
        "Probe": "P-3",
        "Note": "The probe hangs in the air, not among the eggs.",
        "Wanted at most": "28.0 °C",
        "Limit past which to act at once": "30.0 °C",
        "Highest": "31.2 °C",
        "Above the band, in all": "3 h",
        "Longest at a stretch": "2 h 10 min",
        "Past the limit, in all": "25 min",
        "How far × how long": "4.5 °C × h",
        "Mean, weighted by time": "27.9 °C",
        "Measured": "23 h",
        "Of a whole": "24 h",
    }


def test_a_difference_of_temperatures_has_no_offset() -> None:
    told = rows(K.EGGS_TOO_COOL, Units(temperature=TemperatureUnit.F))

    # 15 K h are 15 × 9/5 = 27 °F h; 14.5 °C are 58.1 °F.
    assert told["How far × how long"] == "27.0 °F × h"
    assert told["Lowest"] == "58.1 °F"
    assert told["Set back by about"] == "0.6 days of development"


def test_gaps_tell_what_was_known_on_both_sides() -> None:
    assert rows(K.EGGS_UNMEASURED)["When"] == (
        "25 Nov 2026, 01:10 to 25 Nov 2026, 04:10 (27.9 °C before, 22.4 °C after)"
    )


def test_a_forecast_is_told_as_a_window() -> None:
    told = rows(K.HATCH_DUE)

    assert told["Window from"] == "1 Dec 2026"
    assert told["Window until"] == "20 Jan 2027"
    assert told["Meant to hold for"] == "80 % of clutches"


def test_looks_are_told_one_by_one() -> None:
    assert rows(K.SPUR_LOOK_DUE)["Looks at its heels"] == (
        "13 Nov 2026 Ilda: left present, right absent; 20 Nov 2026 –: left present, "
        "right present"
    )
