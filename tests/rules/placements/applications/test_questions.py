"""Questions and answers: nothing is taken that nobody asked for."""

from hashlib import sha256

import pytest

from placements.rules.applications.advice import (
    AT_RISK,
    SALMONELLA,
    salmonella_advice,
)
from placements.rules.applications.answers import (
    Answered,
    AnswersError,
    checked_answers,
    in_words,
    question_set,
)
from placements.rules.applications.questions import (
    FIRST_SET,
    NEWEST_SET,
    QUESTION_SETS,
    Question,
    QuestionKind,
    options_of,
)

NEEDED = {
    "kept_before": "none",
    "enclosure": "ready",
    "uvb": "linear_t5",
    "measures": "yes",
    "people_at_risk": "no",
    "dwelling": "own",
}
# What people have answered stays what they were asked: a set is never altered.
PINNED = {1: "e55bf6da54b9"}


def test_a_set_that_was_asked_is_never_altered() -> None:
    told = {
        version: sha256(
            repr([(q.id, q.text, q.kind, q.options) for q in questions]).encode()
        ).hexdigest()[:12]
        for version, questions in QUESTION_SETS.items()
    }

    assert told == PINNED
    assert max(PINNED) == NEWEST_SET


@pytest.mark.parametrize("version", QUESTION_SETS)
def test_every_question_says_why_and_can_be_answered(version: int) -> None:
    questions = question_set(version)

    assert len({question.id for question in questions}) == len(questions)
    for question in questions:
        assert question.why.endswith(".")
        chosen = question.kind in {QuestionKind.CHOICE, QuestionKind.YES_NO}
        assert bool(options_of(question)) is chosen


def test_answers_that_can_be_kept() -> None:
    given = {**NEEDED, "years_kept": " 07 ", "vet": " Dr Invented\r\n", "away": "  "}

    assert checked_answers(FIRST_SET, given) == (
        {**NEEDED, "years_kept": "7", "vet": "Dr Invented"},
        {},
    )


def test_all_that_is_missing_is_told() -> None:
    assert checked_answers(FIRST_SET, {}) == (
        {},
        dict.fromkeys(NEEDED, "This needs an answer."),
    )


@pytest.mark.parametrize(
    ("id_", "text", "told"),
    [
        ("uvb", "sun", "'sun' is no answer here; choose one of: linear_t5, "),
        ("measures", "maybe", "'maybe' is no answer here; choose one of: yes, no."),
        ("years_kept", "91", "'91' is no whole number from 0 to 90."),
        ("years_kept", "-1", "'-1' is no whole number from 0 to 90."),
        ("years_kept", "1.5", "'1.5' is no whole number from 0 to 90."),
        ("years_kept", "٣", "'٣' is no whole number from 0 to 90."),
        ("years_kept", "9" * 5_000, "'9999"),
        ("vet", "x" * 301, "This has 301 characters; up to 300 are kept."),
        ("vet", "a\x00", "Character 2 is U+0000"),
        ("address", "x", "Nobody asks this."),
    ],
)
def test_an_answer_that_cannot_be_kept_costs_no_other(
    id_: str, text: str, told: str
) -> None:
    kept, problems = checked_answers(FIRST_SET, {**NEEDED, id_: text})

    assert list(problems) == [id_]
    assert problems[id_].startswith(told)
    assert len(problems[id_]) < 200
    assert kept == {k: v for k, v in NEEDED.items() if k != id_}


@pytest.mark.parametrize(
    ("years", "good"), [("0", True), ("90", True), ("0090", False)]
)
def test_years_at_the_limits(years: str, good: bool) -> None:
    kept, _ = checked_answers(FIRST_SET, {**NEEDED, "years_kept": years})

    assert ("years_kept" in kept) is good


def test_a_long_name_of_what_nobody_asked_is_cut() -> None:
    _, problems = checked_answers((), {"x" * 10_000: "y"})

    assert problems == {"x" * 40: "Nobody asks this."}


def test_answers_in_the_words_in_which_they_were_offered() -> None:
    question = Question("q", QuestionKind.YES_NO, "Is it?", "To know.")

    assert options_of(question) == (("yes", "Yes"), ("no", "No"))
    assert in_words(1, {"away": "A neighbour", "kept_before": "other"}) == (
        Answered("Which reptiles have you kept?", "Other reptiles"),
        Answered("Who looks after it while you are away?", "A neighbour"),
    )
    assert in_words(1, {}) == ()
    # A word that an older row holds and nobody offers now is shown as it is.
    assert in_words(1, {"uvb": "mercury"})[0].answer == "mercury"


def test_there_is_no_other_set() -> None:
    with pytest.raises(AnswersError, match="no set 9 of questions"):
        question_set(9)


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ({"people_at_risk": "yes"}, (*SALMONELLA, *AT_RISK)),
        ({"people_at_risk": "no"}, SALMONELLA),
        ({}, SALMONELLA),
    ],
)
def test_salmonella_advice(answer: dict[str, str], told: tuple[str, ...]) -> None:
    assert salmonella_advice(answer) == told


def test_the_advice_names_who_is_at_risk() -> None:
    """American Academy of Pediatrics and CDC, as `aap-salmonella` restates them."""
    told = " ".join(AT_RISK)

    for words in ("under five", "over 65", "weak immune system", "under one"):
        assert words in told
    assert "not a refusal" in told
