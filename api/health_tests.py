"""Health tests: taken, answered in the laboratory's words, seen by a licensed vet."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.care_structs import Text
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    WordFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import read_body, sent
from api.prescriptions import CAUTION
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.health_tests import (
    note_seen_by_vet,
    record_test,
    record_test_result,
)
from husbandry.models import HealthTest
from husbandry.queries.stays import local_day_of
from husbandry.rules.health.cautions import TESTS
from husbandry.rules.vocabulary import HealthTestKind, HealthTestResult

DAY = Annotated[date | None, Meta(description="Local day; today unless given.")]


class HealthTestFilter(FilterSet):
    """Which tests."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    kind = WordFilter(HealthTestKind)
    result = WordFilter(HealthTestResult)
    seen_by_vet = BooleanFilter(
        "seen_by_vet_on",
        "isnull",
        exclude=True,
        help_text="true: a licensed vet took it over.",
    )
    from_on = DayFilter("taken_on", "gte", help_text="Taken on this day or later.")
    until_on = DayFilter("taken_on", "lte", help_text="Taken on this day or earlier.")
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = HealthTest
        fields = [
            "animal",
            "kind",
            "result",
            "seen_by_vet",
            "from_on",
            "until_on",
            *("recorded_from", "recorded_by"),
        ]


class HealthTestIn(In, frozen=True):
    """That a sample or a picture was taken."""

    animal: LABEL
    kind: HealthTestKind
    taken_on: DAY = None
    laboratory: Annotated[str, Meta(max_length=160)] = ""
    expected_on: Annotated[
        date | None, Meta(description="Day by which the result should be there.")
    ] = None


class ResultIn(In, frozen=True):
    """How a test came out."""

    result: Annotated[HealthTestResult, Meta(description="nothing_found or found.")]
    result_on: DAY = None
    finding: Annotated[
        Text, Meta(description="In the laboratory's words; needed where found.")
    ] = ""
    reason: Annotated[
        str,
        Meta(max_length=200, description="Only to mend a result: what was wrong."),
    ] = ""


class SeenByVetIn(In, frozen=True):
    """That a licensed vet took over what a test found."""

    on: DAY = None


class HealthTestOut(Out, frozen=True):
    """One test and its result; what it means, a licensed vet says."""

    about = HealthTest
    id: int
    animal: Ref | None
    kind: HealthTestKind
    taken_on: date
    laboratory: str
    expected_on: date | None
    result: HealthTestResult
    result_on: date | None
    finding: str
    seen_by_vet_on: date | None
    recorded_by: str | None
    recorded_at: Instant
    caution: CAUTION


class HealthTests(Rows[HealthTest]):
    """The newest taken first."""

    plural = "health tests"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_CARE,
        "result": Permission.RECORD_CARE,
        "seen_by_vet": Permission.RECORD_CARE,
    }
    filterset_class = HealthTestFilter
    takes = {"create": HealthTestIn, "result": ResultIn, "seen_by_vet": SeenByVetIn}
    gives = {"create": {HTTPStatus.CREATED: HealthTestOut}}
    optional_bodies = frozenset({"seen_by_vet"})
    out = HealthTestOut
    ordering = ("-taken_on", "-id")
    searched = ("animal__code", "laboratory", "finding")
    orderable = ("id", "taken_on", "result_on", "recorded_at")

    def get_queryset(self) -> QuerySet[HealthTest]:
        """Return all tests."""
        return HealthTest.objects.select_related("animal", "recorded_by")

    def shown(self, rows: Sequence[HealthTest]) -> list[HealthTestOut]:
        """Return tests with the codes of their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record that a test was taken; recorded again, the same changes nothing."""
        given, now = read_body(sent(request), HealthTestIn), timezone.now()
        animal = animal_named(given.animal)
        row = record_test(
            animal=animal,
            kind=given.kind,
            taken_on=given.taken_on or local_day_of(animal=animal, at=now),
            laboratory=given.laboratory,
            expected_on=given.expected_on,
            by=self.person,
            at=now,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def result(self, request: Request, **kwargs: str) -> Response:
        """Record how a test came out, or mend with a reason what was recorded."""
        row, now = self.one(), timezone.now()
        given = read_body(sent(request), ResultIn)
        record_test_result(
            test=row,
            result=given.result,
            result_on=given.result_on or local_day_of(animal=row.animal, at=now),
            finding=given.finding,
            by=self.person,
            at=now,
            reason=given.reason,
        )
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"], url_path="seen-by-vet")
    def seen_by_vet(self, request: Request, **kwargs: str) -> Response:
        """Note that a licensed vet took over what a test found."""
        row, given, now = self.one(), SeenByVetIn(), timezone.now()
        if request.data:
            given = read_body(sent(request), SeenByVetIn)
        on = given.on or local_day_of(animal=row.animal, at=now)
        note_seen_by_vet(test=row, on=on, by=self.person, at=now)
        return Response(self.shown([self.one()])[0])


def _shown(row: HealthTest) -> HealthTestOut:
    return HealthTestOut(
        id=row.pk,
        animal=ref(row.animal),
        kind=HealthTestKind(row.kind),
        taken_on=row.taken_on,
        laboratory=row.laboratory,
        expected_on=row.expected_on,
        result=HealthTestResult(row.result),
        result_on=row.result_on,
        finding=row.finding,
        seen_by_vet_on=row.seen_by_vet_on,
        recorded_by=str(row.recorded_by) if row.recorded_by else None,
        recorded_at=row.recorded_at,
        caution=TESTS.text,
    )
