"""Homes' enclosures: described, measured, judged; personal data."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.shortcuts import get_object_or_404
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import animal_named
from api.care_structs import LARGEST_ID
from api.files import file_sent
from api.filters import FilterSet, WholeNumberFilter, WordFilter
from api.home_enclosure_structs import (
    HomeEnclosureIn,
    HomeEnclosureOut,
    HomeFileAsked,
    HomeFileOut,
    HomeReadingsIn,
    HomeReadingsOut,
    NewHomeEnclosureIn,
    ReadinessReviewOut,
    ReviewIn,
    details_of,
    enclosure_values,
)
from api.inputs import exact, read_body, sent
from api.named import home_numbered
from api.parsers import CsvBody
from api.placement_structs import row_named
from api.readiness_reviews import shown_review
from api.row_lists import RefusedRow
from api.structs import In, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import Animal, Species
from husbandry.rules.import_answers import Answers
from husbandry.rules.vocabulary import EnclosureKind
from placements.actions.home_readings import Taken, add_readings, import_readings
from placements.actions.readiness import (
    choose_enclosure,
    describe_enclosure,
    review_readiness,
)
from placements.models import HomeEnclosure, Placement, ReadinessReview
from placements.rules.readiness.files import LARGEST_FILE_BYTES
from placements.rules.readiness.typed import TypedReading


class HomeEnclosureFilter(FilterSet):
    """Which enclosures."""

    home = WholeNumberFilter(
        "home", least=0, most=LARGEST_ID, help_text="Number of the home."
    )
    kind = WordFilter(EnclosureKind)

    class Meta:
        model = HomeEnclosure
        fields = ["home", "kind"]


class ChooseIn(In, frozen=True, kw_only=True):
    """Who is to live in an enclosure."""

    placement: Annotated[
        int, Meta(ge=1, le=LARGEST_ID, description="Number of a planned placement.")
    ]


class ChosenOut(Out, frozen=True):
    """Where the animal of a placement is to live."""

    placement: int
    animal: Ref | None
    home_enclosure: int


class HomeEnclosures(Rows[HomeEnclosure]):
    """Of each home, the first one described first."""

    plural = "home enclosures"
    permissions = {
        "list": Permission.SEE_HOMES,
        "retrieve": Permission.SEE_HOMES,
        "create": Permission.MANAGE_PLACEMENTS,
        "describe": Permission.MANAGE_PLACEMENTS,
        "readings": Permission.MANAGE_PLACEMENTS,
        "file": Permission.MANAGE_PLACEMENTS,
        "review": Permission.MANAGE_PLACEMENTS,
        "choose": Permission.MANAGE_PLACEMENTS,
    }
    asks = {"file": HomeFileAsked}
    takes = {
        "create": NewHomeEnclosureIn,
        "describe": HomeEnclosureIn,
        "readings": HomeReadingsIn,
        "file": bytes,
        "review": ReviewIn,
    }
    gives = {
        "choose": ChosenOut,
        "create": {HTTPStatus.CREATED: HomeEnclosureOut},
        "readings": HomeReadingsOut,
        "file": HomeFileOut,
        "review": {HTTPStatus.CREATED: ReadinessReviewOut},
    }
    filterset_class = HomeEnclosureFilter
    out = HomeEnclosureOut
    ordering = ("home_id", "recorded_at", "id")
    orderable = ("id", "recorded_at")

    def get_queryset(self) -> QuerySet[HomeEnclosure]:
        """Return all enclosures, with their newest reviews."""
        newest = ReadinessReview.objects.filter(enclosure=OuterRef("pk"))
        newest = newest.order_by("-judged_at", "-pk")
        return HomeEnclosure.objects.annotate(
            newest_review=Subquery(newest.values("pk")[:1])
        )

    def shown(self, rows: Sequence[HomeEnclosure]) -> list[HomeEnclosureOut]:
        """Return enclosures with how many values were measured in each."""
        counted = dict(
            HomeEnclosure.objects.filter(pk__in=[row.pk for row in rows])
            .annotate(number=Count("readings"))
            .values_list("pk", "number")
        )
        newest = {row.pk: getattr(row, "newest_review", None) for row in rows}
        return [
            HomeEnclosureOut(
                readings=counted[row.pk], **enclosure_values(row, newest[row.pk])
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Describe an enclosure that a home has made."""
        given = read_body(sent(request), NewHomeEnclosureIn)
        row = describe_enclosure(
            home=home_numbered(given.home),
            details=details_of(given),
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def describe(self, request: Request, **kwargs: str) -> Response:
        """Describe an enclosure anew; what was judged of it before counts no more."""
        row, given = self.one(), read_body(sent(request), HomeEnclosureIn)
        describe_enclosure(
            home=row.home,
            details=details_of(given),
            enclosure=row,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"])
    def readings(self, request: Request, **kwargs: str) -> Response:
        """Keep values that were read off instruments in an enclosure.

        A bad one does not keep the others out; the same sent again changes nothing.
        """
        row, given = self.one(), read_body(sent(request), HomeReadingsIn)
        taken = add_readings(
            enclosure=row,
            readings=[
                TypedReading(r.zone, r.quantity, r.at, exact(r.value))
                for r in given.readings
            ],
            by=self.person,
            at=timezone.now(),
        )
        return Response(HomeReadingsOut(**_taken(taken)))

    @action(detail=True, methods=["post"], parser_classes=[CsvBody, MultiPartParser])
    def file(self, request: Request, **kwargs: str) -> Response:
        """Take in a logger's file, whose values were all measured at one spot.

        CSV, text or a spreadsheet, as the body or as the part `file` of a form; what
        it is, is told by its content. It is read as the house's own loggers' files
        are. A file that cannot be relied on is refused whole; what it does not say is
        asked for. The same file sent again changes nothing.
        """
        row, asked = self.one(), self.asked
        assert isinstance(asked, HomeFileAsked)  # noqa: S101 - see `asks`
        data, name = file_sent(
            request,
            what="A logger's file",
            most=LARGEST_FILE_BYTES,
            hint="Export fewer days.",
        )
        read, taken = import_readings(
            enclosure=row,
            data=data,
            file_name=name,
            zone=asked.zone,
            channel=asked.channel,
            answers=Answers(
                day_order=asked.day_order,
                units=(asked.unit,) if asked.unit else (),
                starts_on=asked.starts_on,
            ),
            by=self.person,
            at=timezone.now(),
        )
        return Response(
            HomeFileOut(
                file_name=read.name,
                rows_read=read.rows_read,
                rows_refused=read.rows_refused,
                too_old=read.too_old,
                told=read.told,
                **_taken(taken),
            )
        )

    @action(detail=True, methods=["post"])
    def review(self, request: Request, **kwargs: str) -> Response:
        """Judge an enclosure for an animal, by the nightly review's own rules.

        Of the climate the newest three local days count that were measured well
        enough; silence is not readiness.
        """
        row, given, now = self.one(), read_body(sent(request), ReviewIn), timezone.now()
        made = review_readiness(
            enclosure=row,
            animal=_animal(given.animal),
            species=_species(given.species),
            sex=given.sex,
            on=given.on or timezone.localdate(now),
            by=self.person,
            at=now,
        )
        return Response(shown_review(made), status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def choose(self, request: Request, **kwargs: str) -> Response:
        """Say that the animal of a planned placement is to live in this enclosure."""
        row, given = self.one(), read_body(sent(request), ChooseIn)
        placement = row_named(Placement, given.placement, "placement")
        assert placement is not None  # noqa: S101 - a number was given
        placement = choose_enclosure(
            placement=placement, enclosure=row, by=self.person, at=timezone.now()
        )
        return Response(
            ChosenOut(
                placement=placement.pk,
                animal=ref(placement.animal),
                home_enclosure=row.pk,
            )
        )


def _taken(taken: Taken) -> dict[str, Any]:
    return {
        "stored": taken.stored,
        "known": taken.known,
        "conflicting": taken.conflicting,
        "refused": tuple(
            RefusedRow(index=place, code="home_reading", sentence=sentence)
            for place, sentence in taken.problems
        ),
    }


def _animal(code: str | None) -> Animal | None:
    return animal_named(code) if code else None


def _species(code: str | None) -> Species | None:
    return get_object_or_404(Species, code=code) if code else None
