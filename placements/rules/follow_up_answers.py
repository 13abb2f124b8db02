"""What a home is asked about an animal, and what can be answered."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.errors import DomainError
from placements.rules.vocabulary import FollowUpKind

LONGEST_ANSWER = 2_000
_DOING, _DIED, _WORRIED = "doing", "died", "worried"


class AnswersError(DomainError):
    """Answers that cannot be kept."""

    code = "answers"


@dataclass(frozen=True, slots=True)
class FollowUpQuestion:
    """One question to a home.

    Attributes:
        id: under which its answer is kept.
        why: why it is asked, shown beside it.
        choices: (word, text) of what can be answered; empty: in the home's words.
    """

    id: str
    text: str
    why: str
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = False


_HOW = FollowUpQuestion(
    _DOING,
    "How is the animal doing?",
    "The one answer that we need.",
    (
        ("well", "Well"),
        (_WORRIED, "Something worries me"),
        (_DIED, "It has died"),
    ),
    required=True,
)
_EATING = FollowUpQuestion(
    "eating",
    "Does it eat?",
    "Many eat little in the first days; none for long is a reason to see a vet.",
    (("yes", "Yes"), ("little", "Little"), ("no", "No"), ("not_seen", "Not seen")),
)
_LIGHTS = FollowUpQuestion(
    "uvb",
    "Was the UVB lamp measured or changed since?",
    "A tube that still shines may give half of what it gave.",
    (("measured", "Measured"), ("changed", "Changed"), ("no", "No")),
)
_LAYING = FollowUpQuestion(
    "laying",
    "If it is a female: did she dig or lay?",
    "Females lay with or without a male, and need a place to dig.",
    (("no", "No"), ("digs", "She digs"), ("laid", "She laid"), ("male", "It is male")),
)
_TOLD = FollowUpQuestion(
    "told", "What else should we know?", "In your own words; you need not say anything."
)
_SETTLED = FollowUpQuestion(
    "settled",
    "Was it left alone to settle?",
    "Handling and visitors in the first two weeks keep an animal from eating.",
    (("yes", "Yes"), ("mostly", "Mostly"), ("no", "No")),
)
_VET = FollowUpQuestion(
    "vet",
    "Has a licensed reptile vet seen it?",
    "A first look, with a test of droppings, is common practice.",
    (("yes", "Yes"), ("planned", "It is planned"), ("no", "No")),
)

_QUESTIONS = {
    FollowUpKind.TWO_WEEKS: (_HOW, _EATING, _SETTLED, _TOLD),
    FollowUpKind.THREE_MONTHS: (_HOW, _EATING, _LAYING, _VET, _TOLD),
    FollowUpKind.TWELVE_MONTHS: (_HOW, _EATING, _LIGHTS, _LAYING, _VET, _TOLD),
}


def questions_for(kind: FollowUpKind) -> tuple[FollowUpQuestion, ...]:
    """Return what is asked at one of the times, in order.

    Source:
        common-practice
    """
    return _QUESTIONS[kind]


def check_answers(
    questions: tuple[FollowUpQuestion, ...], answers: Mapping[str, str]
) -> dict[str, str]:
    """Return the answers that are given, trimmed.

    Args:
        questions: what was asked.
        answers: by id; empty ones count as not given.

    Raises:
        AnswersError: one that nobody asked for, that was not offered or is too long,
            or a needed one is missing; a sentence for each.
    """
    asked = {question.id: question for question in questions}
    given = {id_: text.strip() for id_, text in answers.items() if text.strip()}
    problems = {id_: "This was not asked." for id_ in given if id_ not in asked}
    for question in questions:
        problem = _problem(question, given.get(question.id, ""))
        if problem:
            problems[question.id] = problem
    if problems:
        raise AnswersError(" ".join(problems.values()), fields=problems)
    return given


def _problem(question: FollowUpQuestion, answer: str) -> str:
    words = [word for word, _ in question.choices]
    if not answer:
        return f"“{question.text}” needs an answer." if question.required else ""
    if words and answer not in words:
        return f"{answer[:40]!r} was not offered for “{question.text}”: {', '.join(words)}."
    if len(answer) > LONGEST_ANSWER:
        return (
            f"“{question.text}” has an answer of {len(answer)} characters; up to "
            f"{LONGEST_ANSWER} are kept."
        )
    return ""


def died(answers: Mapping[str, str]) -> bool:
    """Say whether the home answered that the animal has died."""
    return answers.get(_DOING) == _DIED


def worried(answers: Mapping[str, str]) -> bool:
    """Say whether something worries the home, or the animal does not eat."""
    return answers.get(_DOING) == _WORRIED or answers.get("eating") == "no"
