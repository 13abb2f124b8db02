"""What a look over an animal says, part by part."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.exams import ExamError, ExamPart, check_exam
from placements.rules.vocabulary import BodySystem, ExamOutcome

FINE, UNUSUAL, NOT_SEEN = (
    ExamOutcome.NOTHING_UNUSUAL,
    ExamOutcome.UNUSUAL,
    ExamOutcome.NOT_LOOKED_AT,
)
EYES = ExamPart(BodySystem.EYES, FINE)


def test_what_nobody_looked_at_is_kept_as_such() -> None:
    kept = check_exam(
        examined_by="a keeper",
        parts=[ExamPart(BodySystem.VENT, UNUSUAL, "swollen"), EYES],
    )

    assert [part.system for part in kept] == list(BodySystem)
    seen = {p.system: p for p in kept if p.outcome is not NOT_SEEN}
    assert seen == {
        BodySystem.VENT: ExamPart(BodySystem.VENT, UNUSUAL, "swollen"),
        BodySystem.EYES: EYES,
    }


@pytest.mark.parametrize(
    ("examined_by", "parts", "field"),
    [
        ("x" * 160, [ExamPart(BodySystem.SKIN, FINE, "x" * 300)], None),
        ("", [EYES], "examined_by"),
        ("x" * 161, [EYES], "examined_by"),
        ("a keeper", [], "parts"),
        ("a keeper", [ExamPart(BodySystem.EYES, NOT_SEEN)], "parts"),
        ("a keeper", [EYES, EYES], "parts"),
        ("a keeper", [ExamPart(BodySystem.EYES, UNUSUAL, " ")], "eyes"),
        ("a keeper", [ExamPart(BodySystem.SKIN, FINE, "x" * 301)], "skin"),
    ],
)
def test_an_exam(examined_by: str, parts: list[ExamPart], field: str | None) -> None:
    if field is None:
        check_exam(examined_by=examined_by, parts=parts)
        return
    with pytest.raises(ExamError) as refusal:
        check_exam(examined_by=examined_by, parts=parts)
    assert list(refusal.value.fields) == [field]


@given(st.permutations([ExamPart(system, FINE) for system in BodySystem]))
def test_the_order_in_which_it_is_said_does_not_matter(parts: list[ExamPart]) -> None:
    kept = check_exam(examined_by="a keeper", parts=parts)

    assert kept == tuple(ExamPart(system, FINE) for system in BodySystem)
