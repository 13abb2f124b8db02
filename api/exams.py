"""Exams: looks over whole animals, part by part; never a diagnosis."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.arrivals_sent import exam_given
from api.care_structs import WHEN
from api.filters import (
    CharFilter,
    FilterSet,
    InstantFilter,
    NumberFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import read_body, sent
from api.intake_structs import ExamIn
from api.structs import Instant, Out, Ref
from api.views import Rows
from core.roles import Permission
from placements.actions.exams import ExamRow, record_exam
from placements.models import Exam
from placements.queries.arrivals import exams
from placements.rules.exams import CAUTION
from placements.rules.vocabulary import BodySystem, ExamOutcome


class ExamFilter(FilterSet):
    """Which exams."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    from_at = InstantFilter("at", "gte", help_text="From this instant on.")
    until_at = InstantFilter("at", "lt", help_text="Before this instant.")
    intake = NumberFilter("intake", help_text="Number of the intake.")
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = Exam
        fields = [
            "animal",
            "from_at",
            "until_at",
            *("intake", "recorded_from", "recorded_by"),
        ]


class NewExamIn(ExamIn, frozen=True, kw_only=True):
    """A look over an animal that is here."""

    animal: LABEL
    at: WHEN = None
    signs: Annotated[
        tuple[str, ...],
        Meta(description="Ids of warning signs of its care profile that were seen."),
    ] = ()


class ExamPartOut(Out, frozen=True):
    """What was seen at one part of an animal."""

    system: BodySystem
    outcome: ExamOutcome
    note: str


class ExamOut(Out, frozen=True):
    """A look over an animal, from the outside in."""

    about = Exam
    id: int
    animal: Ref
    intake: Annotated[
        int | None, Meta(description="Number of the intake that it belongs to.")
    ]
    at: Instant
    examined_by: str
    parts: tuple[ExamPartOut, ...]
    note: str
    recorded_by: Annotated[str | None, Meta(description="null: the program itself.")]
    recorded_at: Instant
    caution: str


class Exams(Rows[Exam]):
    """The newest first."""

    plural = "exams"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_INTAKE,
    }
    filterset_class = ExamFilter
    takes = {"create": NewExamIn}
    gives = {"create": {HTTPStatus.CREATED: ExamOut}}
    out = ExamOut
    ordering = ("-at", "-id")
    searched = ("animal__code", "note")
    orderable = ("id", "at", "recorded_at")

    def get_queryset(self) -> QuerySet[Exam]:
        """Return all exams."""
        return exams()

    def shown(self, rows: Sequence[Exam]) -> list[ExamOut]:
        """Return exams part by part."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record a look over an animal; parts that are left out were not looked at."""
        given, now = read_body(sent(request), NewExamIn), timezone.now()
        looked = exam_given(given)
        row = record_exam(
            row=ExamRow(
                animal=animal_named(given.animal),
                at=given.at or now,
                examined_by=looked.examined_by,
                parts=looked.parts,
                note=looked.note,
                signs=given.signs,
            ),
            by=self.person,
            recorded_at=now,
        )
        found = self.get_queryset().get(pk=row.pk)
        return Response(_shown(found), status=HTTPStatus.CREATED)


def _shown(row: Exam) -> ExamOut:
    return ExamOut(
        id=row.pk,
        animal=Ref(id=row.animal_id, code=row.animal.code),
        intake=row.intake_id,
        at=row.at,
        examined_by=row.examined_by,
        parts=tuple(
            ExamPartOut(
                system=BodySystem(line.system),
                outcome=ExamOutcome(line.outcome),
                note=line.note,
            )
            for line in row.lines.all()
        ),
        note=row.note,
        recorded_by=str(row.recorded_by) if row.recorded_by else None,
        recorded_at=row.recorded_at,
        caution=CAUTION,
    )
