"""Homes: personal data, for those who place animals only."""

from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import BooleanFilter, CharFilter, FilterSet
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from core.roles import Permission
from placements.actions.homes import correct_home, keep_data_until, keep_home
from placements.actions.personal_data import erase_home
from placements.models import Home, Placement
from placements.queries.personal_data import local_day
from placements.rules.homes import HomeDetails
from placements.rules.personal_data import ErasureReason
from placements.rules.vocabulary import HomeKind, Paper, UnitSystem


class HomeFilter(FilterSet):
    """Which homes; not by name, since addresses are written into logs."""

    animal = CharFilter(
        method="placed",
        help_text="Code of an animal that is, was or will be placed there.",
    )
    erased = BooleanFilter(
        "erased_at",
        "isnull",
        exclude=True,
        help_text="true: whose personal data were erased.",
    )

    class Meta:
        model = Home
        fields = ["animal", "erased"]

    def placed(self, rows: QuerySet[Home], name: str, value: str) -> QuerySet[Home]:
        """Return the homes of an animal's placements, each once."""
        placed = Placement.objects.filter(animal__code=value)
        return rows.filter(pk__in=placed.values("home"))


class HomeIn(In, frozen=True, kw_only=True):
    """A home as it is to be on record, all of it."""

    name: str
    contact: Annotated[str, Meta(description="Address, telephone.")] = ""
    email: str = ""
    notes: str = ""
    kind: HomeKind = HomeKind.HOUSEHOLD
    units: UnitSystem = UnitSystem.METRIC
    paper: Paper = Paper.A4
    language: Annotated[str, Meta(description="BCP 47.")] = "en"


class KeepIn(In, frozen=True):
    """Until when a home's personal data have to be kept."""

    until: Annotated[
        date | None, Meta(description="Last day; null: as long as the policy says.")
    ]


class EraseIn(In, frozen=True):
    """Why a home's personal data are erased; it stays on record."""

    reason: ErasureReason


class HomeOut(Out, frozen=True):
    """A household or organisation that animals go to or come from."""

    about = Home
    id: int
    name: Annotated[str, Meta(description="`(erased)` after its data were erased.")]
    kind: HomeKind
    contact: str
    email: str
    notes: str
    units: UnitSystem
    paper: Paper
    language: str
    keep_until: date | None
    erased_at: Instant | None


class Homes(Rows[Home]):
    """Personal data: names and addresses are nowhere else but in the register's file."""

    plural = "homes"
    permissions = {
        "list": Permission.SEE_HOMES,
        "retrieve": Permission.SEE_HOMES,
        "create": Permission.MANAGE_PLACEMENTS,
        "correct": Permission.MANAGE_PLACEMENTS,
        "keep": Permission.MANAGE_PLACEMENTS,
        "erase": Permission.ERASE_PERSONAL_DATA,
    }
    filterset_class = HomeFilter
    takes = {"create": HomeIn, "correct": HomeIn, "keep": KeepIn, "erase": EraseIn}
    gives = {"create": {HTTPStatus.CREATED: HomeOut}}
    out = HomeOut
    orderable = ("id", "keep_until", "erased_at")

    def get_queryset(self) -> QuerySet[Home]:
        """Return all homes."""
        return Home.objects.all()

    def create(self, request: Request) -> Response:
        """Record a home. What cannot be kept is told by field: 409."""
        details = _details(read_body(sent(request), HomeIn))
        row = keep_home(details=details, by=self.person, at=timezone.now())
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def correct(self, request: Request, **kwargs: str) -> Response:
        """Put a home right: all of it is taken as sent; erased ones stay: 409."""
        row, details = self.one(), _details(read_body(sent(request), HomeIn))
        correct_home(home=row, details=details, by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"])
    def keep(self, request: Request, **kwargs: str) -> Response:
        """Note until when its personal data have to be kept, or take that back."""
        row, now = self.one(), timezone.now()
        until = read_body(sent(request), KeepIn).until
        keep_data_until(
            home=row, until=until, on=local_day(now), by=self.person, at=now
        )
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"])
    def erase(self, request: Request, **kwargs: str) -> Response:
        """Erase its personal data for good; what was counted stays counted.

        Refused while an application of it is open, an animal of ours is or is to be
        there, or its data have to be kept: 409.
        """
        row, reason = self.one(), read_body(sent(request), EraseIn).reason
        erase_home(home=row, reason=reason, by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])


def _details(given: HomeIn) -> HomeDetails:
    return HomeDetails(
        name=given.name,
        contact=given.contact,
        email=given.email,
        notes=given.notes,
        kind=given.kind,
        units=given.units,
        paper=given.paper,
        language=given.language,
    )
