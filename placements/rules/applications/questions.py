"""What an applicant is asked: a table of versioned sets, each question with its reason.

A set that somebody has answered is never altered; who wants to ask otherwise adds the
next one. Nothing is asked that nobody looks at: each question says what it is for, and
who in the household is at risk need not be said, only whether anybody is.
"""

from dataclasses import dataclass
from enum import StrEnum

LONGEST_TEXT = 2_000
YES, NO = "yes", "no"


class QuestionKind(StrEnum):
    """In what way a question is answered."""

    TEXT = "text"
    CHOICE = "choice"
    YES_NO = "yes_no"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Attributes:
        id: under which its answer is kept; never used for another question.
        text: as it is asked.
        why: for what it is asked, shown beside it.
        options: (word, text) of a choice.
        most: of a number, the greatest that is believed; of a text, its length.
    """

    id: str
    kind: QuestionKind
    text: str
    why: str
    required: bool = False
    options: tuple[tuple[str, str], ...] = ()
    most: int = LONGEST_TEXT


YES_NO = ((YES, "Yes"), (NO, "No"))
_YES_NO, _CHOICE = QuestionKind.YES_NO, QuestionKind.CHOICE
_TEXT, _NUMBER = QuestionKind.TEXT, QuestionKind.NUMBER

FIRST_SET = (
    Question(
        "kept_before",
        _CHOICE,
        "Which reptiles have you kept?",
        "Some animals suit a first keeper, others need practised hands.",
        required=True,
        options=(
            ("none", "None yet"),
            ("other", "Other reptiles"),
            ("relatives", "Relatives of this species"),
            ("species", "This species"),
        ),
    ),
    Question(
        "years_kept",
        _NUMBER,
        "For how many years altogether?",
        "Beside what you kept, how long.",
        most=90,
    ),
    Question(
        "enclosure",
        _CHOICE,
        "Is its enclosure ready?",
        "It has to be complete and running before an animal moves in.",
        required=True,
        options=(
            ("ready", "It is complete and running"),
            ("building", "I am building it"),
            ("planned", "Not yet"),
        ),
    ),
    Question(
        "uvb",
        _CHOICE,
        "Which lamp gives UVB there?",
        "Without UVB of the right strength bones grow soft.",
        required=True,
        options=(
            ("linear_t5", "A T5 tube"),
            ("linear_t8", "A T8 tube"),
            ("compact", "A compact lamp"),
            ("other", "Another lamp"),
            ("none", "None yet"),
            ("not_known", "I do not know"),
        ),
    ),
    Question(
        "measures",
        _YES_NO,
        "Do you measure temperature and humidity there?",
        "What is not measured goes wrong without being seen.",
        required=True,
    ),
    Question(
        "needs_more",
        _YES_NO,
        "Would you take an animal that needs treatment or lasting care?",
        "So that such an animal is offered only where it is wanted.",
    ),
    Question(
        "sex_wanted",
        _CHOICE,
        "Does it matter whether it is female or male?",
        "Females lay eggs, with or without a male, and need a place to dig.",
        options=(("any", "No"), ("female", "Female"), ("male", "Male")),
    ),
    Question(
        "other_animals",
        _TEXT,
        "Which other animals live with you?",
        "Infections pass between animals, and cats and dogs frighten reptiles.",
    ),
    Question(
        "people_at_risk",
        _YES_NO,
        "Does a child under five, somebody over 65, somebody pregnant or somebody with "
        "a weak immune system live with you or visit often?",
        "Reptiles can carry Salmonella. A yes is no refusal; we talk about hygiene. "
        "Who it is you need not say.",
        required=True,
    ),
    Question(
        "dwelling",
        _CHOICE,
        "Where you live, may you keep reptiles?",
        "An animal should not have to move out again.",
        required=True,
        options=(
            ("own", "I own it"),
            ("allowed", "I rent, and the landlord allows it"),
            ("not_asked", "I rent, and have not asked"),
        ),
    ),
    Question(
        "vet",
        _TEXT,
        "Which vet nearby treats reptiles?",
        "Most vets do not; one has to be known before an emergency.",
        most=300,
    ),
    Question(
        "away",
        _TEXT,
        "Who looks after it while you are away?",
        "It needs light, water and food every day.",
        most=300,
    ),
    Question(
        "law",
        _CHOICE,
        "Do you need a permit for this species where you live?",
        "Local law decides, and papers have to be there before it moves.",
        options=(
            ("not_needed", "No"),
            ("have_it", "Yes, and I have it"),
            ("will_ask", "Yes, I shall ask for it"),
            ("not_known", "I do not know"),
        ),
    ),
    Question(
        "references",
        _TEXT,
        "Whom may we ask about you?",
        "Name only people who agreed to it; their data are erased with yours.",
        most=600,
    ),
    Question(
        "more",
        _TEXT,
        "What else should we know?",
        "In your own words; you need not say anything.",
    ),
)

QUESTION_SETS: dict[int, tuple[Question, ...]] = {1: FIRST_SET}
NEWEST_SET = max(QUESTION_SETS)


def options_of(question: Question) -> tuple[tuple[str, str], ...]:
    """Return what can be chosen for a question; nothing where it is typed."""
    return YES_NO if question.kind is QuestionKind.YES_NO else question.options
