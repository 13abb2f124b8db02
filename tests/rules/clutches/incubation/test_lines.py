"""Phases as they are typed."""

import pytest

from clutches.rules.facts import Phase
from clutches.rules.incubation.lines import EXAMPLE, read_phases
from clutches.rules.incubation.plans import IncubationPlanError
from clutches.rules.vocabulary import PhaseKind
from tests.rules.clutches.incubation.made import phase

TWO_BANDS = phase(days=45, night=("24.0", "26.0"))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ()),
        ("\n  \n", ()),
        (EXAMPLE, (TWO_BANDS,)),
        ("Warm;45;25-28;24 to 26 °C", (TWO_BANDS,)),
        ("warm; 1 day; 25.0–28.0", (phase(days=1),)),
        ("warm; until they hatch; 25–28", (phase(),)),
        ("warm; ; 25–28", (phase(),)),
        (
            "cool; 60 days; 17-20\n\nwarm;;25-28\n",
            (phase("17", "20", days=60, kind=PhaseKind.COOL), phase()),
        ),
        ("cool;;-1--0.5", (phase("-1", "-0.5", kind=PhaseKind.COOL),)),
    ],
)
def test_lines_are_read(text: str, expected: tuple[Phase, ...]) -> None:
    assert read_phases(text) == expected


@pytest.mark.parametrize(
    "line",
    [
        "hot; 45 days; 25–28",
        "warm",
        "warm; 45 days",
        "warm; 45 days; 25–28; 24–26; 20–22",
        "warm; some days; 25–28",
        "warm; 45 days; 28",
        "warm; 45 days; 25–28; x",
        "warm; 45 days; 2.5.5–28",
        "warm; 45 weeks; 25–28",
    ],
)
def test_a_line_that_is_no_phase_is_named(line: str) -> None:
    with pytest.raises(IncubationPlanError) as refused:
        read_phases(f"warm;; 25–28\n{line}")

    assert repr(line) in str(refused.value)
