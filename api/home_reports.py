"""Home reports: what homes tell of animals by themselves, beside our own records."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import LARGEST_ID, Id, Small, Text
from api.errors import RefusedError
from api.filters import (
    BooleanFilter,
    CharFilter,
    FilterSet,
    InstantFilter,
    WholeNumberFilter,
    WordFilter,
)
from api.inputs import exact, read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from placements.actions.home_reports import report_from_home, see_report
from placements.models import HomeReport, Placement
from placements.rules.home_reports import CAUTION
from placements.rules.vocabulary import HomeReportKind


class HomeReportFilter(FilterSet):
    """Which reports."""

    animal = CharFilter("placement__animal__code", help_text="Code of the animal.")
    placement = WholeNumberFilter(
        "placement", least=0, most=LARGEST_ID, help_text="Number of the placement."
    )
    kind = WordFilter(HomeReportKind)
    seen = BooleanFilter(
        "seen_at", "isnull", exclude=True, help_text="true: somebody looked at it."
    )
    from_at = InstantFilter(
        "received_at", "gte", help_text="Came at this instant or later."
    )
    until_at = InstantFilter("received_at", "lt", help_text="Came before this instant.")

    class Meta:
        model = HomeReport
        fields = [
            "animal",
            "placement",
            "kind",
            "seen",
            *("from_at", "until_at"),
        ]


class HomeReportIn(In, frozen=True, kw_only=True):
    """What a home tells of its animal."""

    placement: Id
    kind: HomeReportKind
    on: Annotated[date, Meta(description="Local day that it is about.")]
    mass_g: Annotated[
        float | None, Meta(description="Grams, of a weight; else null.")
    ] = None
    eggs: Annotated[
        Small | None, Meta(description="Of laid eggs, how many; else null.")
    ] = None
    note: Annotated[Text, Meta(description="In the home's words.")] = ""


class HomeReportOut(Out, frozen=True):
    """What a home told; nobody here has seen it."""

    about = HomeReport
    id: int
    placement: int
    animal: Ref | None
    kind: HomeReportKind
    on: date
    mass_g: Annotated[
        Decimal | None, Meta(description="Grams, as the home weighed; else null.")
    ]
    eggs: int | None
    note: Annotated[
        str | None, Meta(description="null for those who may not see homes.")
    ]
    received_at: Instant
    seen_at: Annotated[Instant | None, Meta(description="null: nobody looked at it.")]
    seen_by: str | None
    caution: Annotated[str, Meta(description="To be shown with it.")]


class HomeReports(Rows[HomeReport]):
    """The newest first."""

    plural = "home reports"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
        "create": Permission.MANAGE_PLACEMENTS,
        "see": Permission.MANAGE_PLACEMENTS,
    }
    takes = {"create": HomeReportIn}
    gives = {"create": {HTTPStatus.CREATED: HomeReportOut}}
    filterset_class = HomeReportFilter
    out = HomeReportOut
    ordering = ("-received_at", "-id")
    searched = ("placement__animal__code",)
    orderable = ("id", "on", "received_at", "seen_at")

    def get_queryset(self) -> QuerySet[HomeReport]:
        """Return all reports."""
        return HomeReport.objects.select_related("placement__animal", "seen_by")

    def shown(self, rows: Sequence[HomeReport]) -> list[HomeReportOut]:
        """Return reports; what was written only to those who may see homes."""
        sees_homes = self.person.may(Permission.SEE_HOMES)
        return [
            HomeReportOut(
                id=row.pk,
                placement=row.placement_id,
                animal=ref(row.placement.animal),
                kind=HomeReportKind(row.kind),
                on=row.on,
                mass_g=row.mass_g,
                eggs=row.eggs,
                note=row.note if sees_homes else None,
                received_at=row.received_at,
                seen_at=row.seen_at,
                seen_by=str(row.seen_by) if row.seen_by else None,
                caution=CAUTION,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Write down what a home told, such as by telephone.

        It stands beside our records and is never mixed into them. The same told again
        changes nothing.
        """
        given = read_body(sent(request), HomeReportIn)
        placement = Placement.objects.filter(pk=given.placement).first()
        if placement is None:
            raise RefusedError(
                "unknown_placement",
                f"There is no placement {given.placement}. Their numbers are in "
                "/placements/.",
                fields={"placement": "number of a placement"},
            )
        row = report_from_home(
            placement=placement,
            kind=given.kind,
            on=given.on,
            mass_g=None if given.mass_g is None else exact(given.mass_g),
            eggs=given.eggs,
            note=given.note,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def see(self, request: Request, **kwargs: str) -> Response:
        """Say that somebody has looked at a report."""
        see_report(report=self.one(), by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])
