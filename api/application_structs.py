"""Applications as they are sent and answered."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import Annotated

from msgspec import Meta

from api.animal_codes import LABEL
from api.care_structs import Id
from api.structs import Asked, In, Instant, Out, Ref, ref
from placements.models import Application
from placements.rules.applications.advice import salmonella_advice
from placements.rules.applications.answers import question_set
from placements.rules.applications.matching import Match, Matter, Side
from placements.rules.applications.questions import (
    NEWEST_SET,
    QuestionKind,
    options_of,
)
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    PlacementKind,
)


class Decision(StrEnum):
    """What can be decided by hand about an application."""

    CHECKING = "checking"
    ACCEPTED = "accepted"
    WAITING = "waiting"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"

    @property
    def state(self) -> ApplicationState:
        """Return where it leads."""
        return ApplicationState(self.value)


class ApplicationIn(In, frozen=True, kw_only=True):
    """A home's request for an animal, or for one of a species."""

    home: Annotated[Id, Meta(description="Number of the home.")]
    kind: PlacementKind
    species: Annotated[str | None, Meta(description="Code of the species.")] = None
    animal: Annotated[
        str | None, Meta(description="Code of a certain animal, in care.")
    ] = None
    question_set: Annotated[int, Meta(description="Version of the questions.")] = (
        NEWEST_SET
    )
    answers: Annotated[
        dict[str, str], Meta(description="By question; choices by their word.")
    ]


class CheckIn(In, frozen=True):
    """How something came out that was looked into."""

    kind: CheckKind
    outcome: CheckOutcome
    note: Annotated[str, Meta(description="Erased with the home's data.")] = ""


class DecisionIn(In, frozen=True):
    """Where an application goes on."""

    to: Decision
    told: Annotated[
        str, Meta(description="What the home reads on its page; needed to decline.")
    ] = ""
    on: Annotated[date | None, Meta(description="Local day; today unless given.")] = (
        None
    )


class ApplicationOut(Out, frozen=True):
    """An application, without what was answered."""

    about = Application
    id: int
    home: Annotated[int, Meta(description="Number of the home.")]
    species: Ref | None
    animal: Ref | None
    kind: PlacementKind
    state: ApplicationState
    received_at: Instant
    recorded_by: Annotated[
        str | None, Meta(description="null: it came by the public form.")
    ]
    decided_at: Instant | None
    waiting_since: date | None
    question_set: int


class StandingOut(Out, frozen=True):
    """How one check stands; of each kind the newest counts."""

    kind: CheckKind
    outcome: CheckOutcome


class ApplicationDetail(ApplicationOut, frozen=True):
    """An application with what was answered: personal data."""

    answers: Annotated[
        dict[str, str], Meta(description="By question; choices by their word.")
    ]
    told: str
    checks: tuple[StandingOut, ...]
    advice: Annotated[
        tuple[str, ...],
        Meta(description="On Salmonella, as the home reads it; never a refusal."),
    ]


class AnswerOptionOut(Out, frozen=True):
    """One word that can be chosen, and what it says."""

    word: str
    text: str


class ApplicationQuestionOut(Out, frozen=True):
    """One question to applicants."""

    id: str
    kind: QuestionKind
    text: str
    why: str
    required: bool
    options: tuple[AnswerOptionOut, ...]
    most: Annotated[
        int, Meta(description="Characters of a text; the greatest number of one.")
    ]


class ApplicationQuestionsOut(Out, frozen=True):
    """The questions that applicants are asked now."""

    question_set: int
    questions: tuple[ApplicationQuestionOut, ...]


class MatchesAsked(Asked, frozen=True, kw_only=True):
    """For which animal."""

    animal: LABEL
    on: Annotated[date | None, Meta(description="Local day; today unless given.")] = (
        None
    )


class MatchReasonOut(Out, frozen=True):
    """One thing that speaks for or against, or is not known."""

    matter: Matter
    side: Side
    stated: Annotated[str, Meta(description="The answer's word; may be empty.")]


class MatchOut(Out, frozen=True):
    """An application that an animal may suit."""

    application: int
    home: Annotated[int, Meta(description="Number of the home.")]
    state: ApplicationState
    since: Annotated[
        date, Meta(description="On the waiting list, or else come, since.")
    ]
    reasons: tuple[MatchReasonOut, ...]


class MatchesOut(Out, frozen=True):
    """In the order of the waiting list; nothing is added up, a person decides."""

    matches: tuple[MatchOut, ...]


def shown_questions() -> ApplicationQuestionsOut:
    """Return the newest set of questions."""
    return ApplicationQuestionsOut(
        question_set=NEWEST_SET,
        questions=tuple(
            ApplicationQuestionOut(
                id=one.id,
                kind=one.kind,
                text=one.text,
                why=one.why,
                required=one.required,
                options=tuple(
                    AnswerOptionOut(word=word, text=text)
                    for word, text in options_of(one)
                ),
                most=one.most,
            )
            for one in question_set(NEWEST_SET)
        ),
    )


def summary(row: Application) -> ApplicationOut:
    """Return an application as lists answer it."""
    return ApplicationOut(
        id=row.pk,
        home=row.home_id,
        species=ref(row.species),
        animal=ref(row.animal),
        kind=PlacementKind(row.kind),
        state=ApplicationState(row.state),
        received_at=row.received_at,
        recorded_by=row.recorded_by.username if row.recorded_by else None,
        decided_at=row.decided_at,
        waiting_since=row.waiting_since,
        question_set=row.question_set,
    )


def detail(
    row: Application, standing: Mapping[CheckKind, CheckOutcome]
) -> ApplicationDetail:
    """Return an application with what was answered."""
    short = summary(row)
    return ApplicationDetail(
        **{name: getattr(short, name) for name in short.__struct_fields__},
        answers=row.answers,
        told=row.told,
        checks=tuple(StandingOut(kind, one) for kind, one in standing.items()),
        advice=salmonella_advice(row.answers),
    )


def shown_match(found: Match) -> MatchOut:
    """Return a match as it is answered."""
    return MatchOut(
        application=found.applied.id,
        home=found.applied.home,
        state=found.applied.state,
        since=found.applied.since,
        reasons=tuple(
            MatchReasonOut(matter=one.matter, side=one.side, stated=one.stated)
            for one in found.reasons
        ),
    )
