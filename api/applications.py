"""Applications: personal data, for those who place animals only."""

from collections.abc import Sequence
from http import HTTPStatus

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import animal_named
from api.application_structs import (
    ApplicationDetail,
    ApplicationIn,
    ApplicationOut,
    ApplicationQuestionsOut,
    CheckIn,
    DecisionIn,
    MatchesAsked,
    MatchesOut,
    detail,
    shown_match,
    shown_questions,
    summary,
)
from api.filters import (
    CharFilter,
    FilterSet,
    InstantFilter,
    WholeNumberFilter,
    WordFilter,
)
from api.inputs import read_body, sent
from api.named import home_numbered, species_named
from api.structs import Paged
from api.views import Rows
from core.roles import Permission
from placements.actions.applications import (
    decide,
    receive_application,
    record_check,
)
from placements.models import Application
from placements.queries.applications import applications, standing_of
from placements.queries.matching import matches
from placements.queries.personal_data import local_day
from placements.rules.vocabulary import ApplicationState, PlacementKind

LARGEST_ID = 2**63 - 1


class ApplicationFilter(FilterSet):
    """Which applications; by numbers, codes and words only, never by name."""

    state = WordFilter(ApplicationState)
    kind = WordFilter(PlacementKind)
    species = CharFilter("species__code", help_text="Code of the species.")
    animal = CharFilter("animal__code", help_text="Code of the animal asked for.")
    home = WholeNumberFilter(
        "home_id", least=0, most=LARGEST_ID, help_text="Number of the home."
    )
    from_at = InstantFilter(
        "received_at", "gte", help_text="Came at this instant or later."
    )
    until_at = InstantFilter("received_at", "lt", help_text="Came before this instant.")

    class Meta:
        model = Application
        fields = [
            "state",
            "kind",
            "species",
            "animal",
            "home",
            *("from_at", "until_at"),
        ]


class Applications(Rows[Application]):
    """The first to come first; what was answered is in one by its number only."""

    plural = "applications"
    permissions = {
        "list": Permission.SEE_HOMES,
        "retrieve": Permission.SEE_HOMES,
        "waiting": Permission.SEE_HOMES,
        "matches": Permission.SEE_HOMES,
        "questions": Permission.SEE_HOMES,
        "create": Permission.MANAGE_PLACEMENTS,
        "check": Permission.MANAGE_PLACEMENTS,
        "decide": Permission.MANAGE_PLACEMENTS,
    }
    filterset_class = ApplicationFilter
    asks = {"matches": MatchesAsked, "waiting": Paged}
    takes = {"create": ApplicationIn, "check": CheckIn, "decide": DecisionIn}
    gives = {
        "retrieve": ApplicationDetail,
        "create": {HTTPStatus.CREATED: ApplicationDetail},
        "check": ApplicationDetail,
        "decide": ApplicationDetail,
        "matches": MatchesOut,
        "questions": ApplicationQuestionsOut,
    }
    paged = frozenset({"list", "waiting"})
    out = ApplicationOut
    ordering = ("received_at", "id")
    searched = ("species__code", "animal__code")
    orderable = ("id", "received_at", "decided_at", "waiting_since")
    orderings = {"waiting": ("waiting_since", "received_at", "id")}

    def get_queryset(self) -> QuerySet[Application]:
        """Return all applications."""
        return applications()

    def shown(self, rows: Sequence[Application]) -> list[ApplicationOut]:
        """Return applications without what was answered."""
        return [summary(row) for row in rows]

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Return one with what was answered and how its checks stand."""
        row, choose = self.one(), self.choosing()
        return Response(choose(detail(row, standing_of(row))))

    @action(detail=False)
    def waiting(self, request: Request) -> Response:
        """Return the waiting list, whoever has waited longest first."""
        state = ApplicationState.WAITING.value
        rows = self.get_queryset().filter(state=state, waiting_since__isnull=False)
        return self.page_of(rows, self.shown)

    @action(detail=False)
    def matches(self, request: Request) -> Response:
        """Return whom an animal may suit, with reasons; nobody is offered anything."""
        assert isinstance(self.asked, MatchesAsked)  # noqa: S101 - as `asks` says
        animal = animal_named(self.asked.animal)
        found = matches(animal=animal, on=self.asked.on or local_day(timezone.now()))
        return Response(MatchesOut(matches=tuple(shown_match(one) for one in found)))

    @action(detail=False)
    def questions(self, request: Request) -> Response:
        """Return what applicants are asked now, each question with its reason."""
        return Response(shown_questions())

    def create(self, request: Request) -> Response:
        """Record an application. What cannot be kept is told by field: 409."""
        given = read_body(sent(request), ApplicationIn)
        row = receive_application(
            home=home_numbered(given.home),
            kind=given.kind,
            species=species_named(given.species) if given.species else None,
            animal=animal_named(given.animal) if given.animal else None,
            answers=given.answers,
            question_set_version=given.question_set,
            by=self.person,
            at=timezone.now(),
        )
        return self._detail(row, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def check(self, request: Request, **kwargs: str) -> Response:
        """Record how something came out that was looked into; the newest holds."""
        given, row = read_body(sent(request), CheckIn), self.one()
        record_check(
            application=row,
            kind=given.kind,
            outcome=given.outcome,
            note=given.note,
            by=self.person,
            at=timezone.now(),
        )
        return self._detail(self.one())

    @action(detail=True, methods=["post"])
    def decide(self, request: Request, **kwargs: str) -> Response:
        """Accept, put on the waiting list, decline or withdraw an application.

        It goes only where it can from where it stands, and is accepted only when all
        that has to be looked into is settled: else 409. Handing an animal over sets
        `placed`.
        """
        given, row, now = (
            read_body(sent(request), DecisionIn),
            self.one(),
            timezone.now(),
        )
        decide(
            application=row,
            to=given.to.state,
            on=given.on or local_day(now),
            told=given.told,
            by=self.person,
            at=now,
        )
        return self._detail(self.one())

    def _detail(self, row: Application, *, status: int = HTTPStatus.OK) -> Response:
        return Response(detail(row, standing_of(row)), status=status)
