"""No name that is known here stays in what people wrote."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.vocabulary import (
    FeedingOrderKind,
    HealthTestKind,
    HealthTestResult,
)
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import canonical, plain
from placements.rules.packets.facts import Background, CareOnRecord, Leaving
from placements.rules.packets.leaving import GateLine, HandoverLine, PaperLine
from placements.rules.packets.names import LEFT_OUT, without_names
from placements.rules.packets.records import (
    ExamEntry,
    ExamPart,
    IntakeLine,
    QuarantineLine,
    TestLine,
    TreatmentLine,
)
from placements.rules.packets.routines import FeedingOrderLine
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    Gate,
    IntakeCondition,
    IntakeSource,
    PaperKind,
)
from tests.placements.known import NEEDS, WARM_NIGHTS, facts

NAME = "Ada Lindqvist"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Ada Lindqvist asked for it", f"{LEFT_OUT} asked for it"),
        ("agreed with ADA LINDQVIST.", f"agreed with {LEFT_OUT}."),
        ("Ada Lindqvists box", "Ada Lindqvists box"),
        ("call ada@example.test", f"call {LEFT_OUT}"),
        ("Dr. Ada Lindqvist, Ridge", f"{LEFT_OUT}, Ridge"),
        ("", ""),
        ("nobody", "nobody"),
    ],
)
def test_whole_names_are_left_out(text: str, expected: str) -> None:
    names = (NAME, "Dr. Ada Lindqvist", "ada@example.test", "", "Al")

    assert without_names(text, names) == expected


def test_signs_of_patterns_in_a_name_are_taken_as_they_are() -> None:
    assert without_names("(a.b)* stays", ("a.c",)) == "(a.b)* stays"
    assert without_names("12 (rear) lane", ("12 (rear) lane",)) == LEFT_OUT


@given(st.text(), st.text(alphabet=st.characters(categories=("L",)), min_size=3))
def test_no_name_stays_as_a_word_of_its_own(text: str, name: str) -> None:
    found = without_names(f"{text} {name} {text}", (name,))

    assert f" {name} " not in found.replace(LEFT_OUT, "")


def everything_with_the_name() -> dict[str, Any]:
    """Every free text of a packet, each with a person's name in it."""
    on = date(2026, 3, 1)
    said = f"as {NAME} said"
    return {
        "needs": replace(NEEDS, overrides=(replace(WARM_NIGHTS, reason=said),)),
        "background": Background(
            intakes=(
                IntakeLine(
                    on,
                    IntakeSource.SURRENDER,
                    IntakeCondition.HEALTHY,
                    ChipScan.NONE_FOUND,
                    said,
                    None,
                    said,
                ),
            ),
            quarantines=(QuarantineLine(on, on, cleared=True, despite=said),),
            exams=(
                ExamEntry(on, (ExamPart(BodySystem.EYES, ExamOutcome.UNUSUAL, said),)),
            ),
        ),
        "care": CareOnRecord(
            orders=(
                FeedingOrderLine(
                    FeedingOrderKind.FAST, on, date(2026, 4, 1), None, None, "", said
                ),
            ),
            treatments=(
                TreatmentLine("Syrup", said, on, on, on, said, 1, 1, 0, 0, open=False),
            ),
            tests=(
                TestLine(HealthTestKind.FAECAL, on, HealthTestResult.FOUND, on, said),
            ),
        ),
        "leaving": Leaving(
            gates_opened=(GateLine(Gate.HEAVY_ENOUGH, said, said, on),),
            treatment_handovers=(HandoverLine("Syrup", said, on),),
            papers=(PaperLine(PaperKind.OTHER, "7", None, said, None, None),),
        ),
    }


def test_names_are_left_out_of_every_free_text_of_a_document() -> None:
    told = everything_with_the_name()
    known = replace(told["leaving"], names=(NAME,))

    with_name = canonical(plain(build_document(facts(**told))))
    without = canonical(plain(build_document(facts(**{**told, "leaving": known}))))

    # The override's reason stands in two places; twelve texts are of newer parts.
    assert with_name.count(NAME.encode()) == 14
    assert NAME.encode() not in without
    assert without.count(LEFT_OUT.encode()) == 14
