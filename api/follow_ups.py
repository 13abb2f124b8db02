"""Follow-ups: when homes are asked how their animals are doing, and what they say."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import LARGEST_ID, ReasonIn
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    WholeNumberFilter,
    WordFilter,
)
from api.inputs import read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from placements.actions.follow_ups import answer_follow_up, drop_follow_up
from placements.models import FollowUp
from placements.queries.follow_ups import OPEN
from placements.rules.follow_up_answers import FollowUpQuestion, questions_for
from placements.rules.vocabulary import FollowUpKind


class FollowUpFilter(FilterSet):
    """Which follow-ups."""

    animal = CharFilter("placement__animal__code", help_text="Code of the animal.")
    placement = WholeNumberFilter(
        "placement", least=0, most=LARGEST_ID, help_text="Number of the placement."
    )
    kind = WordFilter(FollowUpKind)
    until_on = DayFilter("due_on", "lte", help_text="Due on this day or earlier.")
    open = BooleanFilter(
        method="still_open", help_text="true: neither answered nor dropped."
    )
    from_on = DayFilter("due_on", "gte", help_text="Due on this day or later.")

    class Meta:
        model = FollowUp
        fields = ["animal", "placement", "kind", "until_on", "open", *("from_on",)]

    def still_open(
        self,
        rows: QuerySet[FollowUp],
        name: str,
        value: bool,  # noqa: FBT001 - the library's signature
    ) -> QuerySet[FollowUp]:
        """Return the follow-ups that are open, or the others."""
        return rows.filter(OPEN) if value else rows.exclude(OPEN)


class QuestionOut(Out, frozen=True):
    """One question to a home."""

    id: str
    text: str
    why: str
    choices: Annotated[
        tuple[str, ...], Meta(description="Words to answer with; none: freely.")
    ]
    required: bool


class AnswersIn(In, frozen=True, kw_only=True):
    """What a home answers."""

    answers: Annotated[
        dict[str, Annotated[str, Meta(max_length=4_000)]],
        Meta(max_length=50, description="By the id of the question."),
    ]


class FollowUpOut(Out, frozen=True):
    """One later question to a home."""

    about = FollowUp
    id: int
    placement: int
    animal: Ref | None
    kind: FollowUpKind
    due_on: date
    questions: tuple[QuestionOut, ...]
    answered_at: Annotated[Instant | None, Meta(description="null: not answered.")]
    answers: Annotated[
        dict[str, str] | None,
        Meta(description="By question; null for those who may not see homes."),
    ]
    dropped_at: Annotated[Instant | None, Meta(description="null: not dropped.")]
    dropped_reason: Annotated[
        str | None, Meta(description="null for those who may not see homes.")
    ]


class FollowUps(Rows[FollowUp]):
    """The soonest due first."""

    plural = "follow-ups"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
        "answer": Permission.MANAGE_PLACEMENTS,
        "drop": Permission.MANAGE_PLACEMENTS,
    }
    takes = {"answer": AnswersIn, "drop": ReasonIn}
    filterset_class = FollowUpFilter
    out = FollowUpOut
    ordering = ("due_on", "id")
    searched = ("placement__animal__code",)
    orderable = ("id", "due_on", "answered_at", "dropped_at")

    def get_queryset(self) -> QuerySet[FollowUp]:
        """Return all follow-ups."""
        return FollowUp.objects.select_related("placement__animal")

    def shown(self, rows: Sequence[FollowUp]) -> list[FollowUpOut]:
        """Return follow-ups; answers only to those who may see homes."""
        sees_homes = self.person.may(Permission.SEE_HOMES)
        return [
            FollowUpOut(
                id=row.pk,
                placement=row.placement_id,
                animal=ref(row.placement.animal),
                kind=FollowUpKind(row.kind),
                due_on=row.due_on,
                questions=tuple(map(_question, questions_for(FollowUpKind(row.kind)))),
                answered_at=row.answered_at,
                answers=row.answers if sees_homes else None,
                dropped_at=row.dropped_at,
                dropped_reason=row.dropped_reason if sees_homes else None,
            )
            for row in rows
        ]

    @action(detail=True, methods=["post"])
    def answer(self, request: Request, **kwargs: str) -> Response:
        """Keep what a home answers.

        What worries it is also kept as a report, which somebody has to look at.
        """
        row, given = self.one(), read_body(sent(request), AnswersIn)
        answer_follow_up(
            follow_up=row, answers=given.answers, by=self.person, at=timezone.now()
        )
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"])
    def drop(self, request: Request, **kwargs: str) -> Response:
        """Ask a home no more, and keep why."""
        row, given = self.one(), read_body(sent(request), ReasonIn)
        drop_follow_up(
            follow_up=row, reason=given.reason, by=self.person, at=timezone.now()
        )
        return Response(self.shown([self.one()])[0])


def _question(asked: FollowUpQuestion) -> QuestionOut:
    return QuestionOut(
        id=asked.id,
        text=asked.text,
        why=asked.why,
        choices=tuple(word for word, _ in asked.choices),
        required=asked.required,
    )
