"""Answers held to the questions, and read back in their words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.errors import DomainError
from placements.rules.applications.questions import (
    QUESTION_SETS,
    Question,
    QuestionKind,
    options_of,
)
from placements.rules.applications.texts import problem_with, tidy

LONGEST_SHOWN = 40


class AnswersError(DomainError):
    """Answers cannot be kept as given."""

    code = "answers_refused"


@dataclass(frozen=True, slots=True)
class Answered:
    """One question with the answer in the words in which it was offered."""

    question: str
    answer: str


def question_set(version: int) -> tuple[Question, ...]:
    """Return the questions of a version.

    Raises:
        AnswersError: there is no such version.
    """
    if version not in QUESTION_SETS:
        known = ", ".join(map(str, QUESTION_SETS))
        raise AnswersError(
            f"There is no set {version} of questions; there is: {known}.",
            fields={"question_set": f"one of: {known}"},
        )
    return QUESTION_SETS[version]


def checked_answers(
    questions: Sequence[Question], given: Mapping[str, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """Return the answers as they are kept, and what is wrong with others.

    Args:
        questions: what was asked.
        given: answers by question, as typed; an empty one counts as none.

    Returns:
        Answers that can be kept, and a sentence for each that cannot, for each
        needed one that is missing and for each that nobody asked for.
    """
    texts = {id_: tidy(text) for id_, text in given.items()}
    texts = {id_: text for id_, text in texts.items() if text}
    asked = {question.id for question in questions}
    problems = {
        id_[:LONGEST_SHOWN]: "Nobody asks this."
        for id_ in sorted(texts)
        if id_ not in asked
    }
    for question in questions:
        if problem := _problem(question, texts.get(question.id, "")):
            problems[question.id] = problem
    kept = {
        question.id: _plain(question, texts[question.id])
        for question in questions
        if question.id in texts and question.id not in problems
    }
    return kept, problems


def _problem(question: Question, text: str) -> str:
    if not text:
        return "This needs an answer." if question.required else ""
    if question.kind is QuestionKind.TEXT:
        return problem_with(text, longest=question.most)
    if question.kind is QuestionKind.NUMBER:
        return _number_problem(question, text)
    words = [word for word, _ in options_of(question)]
    if text in words:
        return ""
    return f"{_shown(text)} is no answer here; choose one of: {', '.join(words)}."


def _number_problem(question: Question, text: str) -> str:
    plain = text.isascii() and text.isdigit() and len(text) <= len(str(question.most))
    if plain and int(text) <= question.most:
        return ""
    return f"{_shown(text)} is no whole number from 0 to {question.most}."


def _shown(text: str) -> str:
    return repr(text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "…")


def _plain(question: Question, text: str) -> str:
    return str(int(text)) if question.kind is QuestionKind.NUMBER else text


def in_words(version: int, answers: Mapping[str, str]) -> tuple[Answered, ...]:
    """Return the answers on record beside their questions, in the order of asking.

    Args:
        version: of the questions that were answered.
        answers: as kept; questions without an answer are left out.

    Raises:
        AnswersError: there is no such version.
    """
    return tuple(
        Answered(
            question.text,
            dict(options_of(question)).get(answers[question.id], answers[question.id]),
        )
        for question in question_set(version)
        if question.id in answers
    )
