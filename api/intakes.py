"""Intakes: single animals of a delivery, as they were; and photographs of them."""

from collections.abc import Sequence
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import (
    BooleanFilter,
    CharFilter,
    FilterSet,
    NumberFilter,
    WordFilter,
)
from api.inputs import read_body, sent
from api.intake_structs import (
    CaptionAsked,
    IntakeOut,
    LiftIn,
    PhotoOut,
    SettleIn,
)
from api.named import species_named
from api.photographs import PHOTOGRAPHS, PRIVATE, sent_photograph
from api.renderers import Jpeg
from api.structs import Ref
from api.views import Rows
from core.roles import Permission
from placements.actions.holds import lift_hold
from placements.actions.intake_photos import add_intake_photo
from placements.actions.species import settle_species
from placements.models import Intake, IntakePhoto
from placements.queries.arrivals import intakes
from placements.queries.intake_photos import intake_photo
from placements.rules.vocabulary import ChipScan, IntakeCondition, IntakeSource


class IntakeFilter(FilterSet):
    """Which intakes."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    source = WordFilter(IntakeSource, "arrival__source")
    condition = WordFilter(IntakeCondition)
    species_sure = BooleanFilter(help_text="Its species is settled.")
    arrival = NumberFilter("arrival", help_text="Number of the delivery.")

    class Meta:
        model = Intake
        fields = ["animal", "source", "condition", "species_sure", *("arrival",)]


class Intakes(Rows[Intake]):
    """The newest first."""

    plural = "intakes"
    permissions = {
        "list": Permission.RECORD_INTAKE,
        "retrieve": Permission.RECORD_INTAKE,
        "lift_hold": Permission.OPEN_GATES,
        "settle_species": Permission.RECORD_INTAKE,
        "add_photo": Permission.RECORD_INTAKE,
    }
    filterset_class = IntakeFilter
    asks = {"add_photo": CaptionAsked}
    takes = {"lift_hold": LiftIn, "settle_species": SettleIn, "add_photo": bytes}
    gives = {"add_photo": {HTTPStatus.CREATED: IntakeOut}}
    out = IntakeOut
    ordering = ("-id",)
    searched = ("animal__code", "species_told", "came_with", "note")
    orderable = ("id",)

    def get_queryset(self) -> QuerySet[Intake]:
        """Return all intakes."""
        return intakes()

    def shown(self, rows: Sequence[Intake]) -> list[IntakeOut]:
        """Return intakes; their placements only to those who may see them."""
        sees = self.person.may(Permission.SEE_PLACEMENTS)
        return [shown_intake(row, sees_placements=sees) for row in rows]

    @action(detail=True, methods=["post"], url_path="lift-hold")
    def lift_hold(self, request: Request, **kwargs: str) -> Response:
        """Let an animal go before its hold is over; the hold stays on record."""
        row, given = self.one(), read_body(sent(request), LiftIn)
        zone, now = ZoneInfo(row.arrival.site.time_zone), timezone.now()
        lift_hold(
            intake=row,
            on=given.on or timezone.localdate(now, zone),
            reason=given.reason,
            by=self.person,
            at=now,
        )
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"], url_path="settle-species")
    def settle_species(self, request: Request, **kwargs: str) -> Response:
        """Say what an animal is that came without anybody knowing."""
        row, given = self.one(), read_body(sent(request), SettleIn)
        settle_species(
            intake=row,
            species=species_named(given.species),
            by=self.person,
            at=timezone.now(),
            reason=given.reason,
        )
        return Response(self.shown([self.one()])[0])

    @action(
        detail=True, methods=["post"], url_path="photos", parser_classes=PHOTOGRAPHS
    )
    def add_photo(self, request: Request, **kwargs: str) -> Response:
        """Keep a photograph of an animal as it came; up to twenty of each.

        A JPEG or PNG of at most 8 MB, as the body or as the part `file` of a form. It
        is drawn anew: where it was taken and by which camera is not kept.
        """
        asked = self.asked
        assert isinstance(asked, CaptionAsked)  # noqa: S101 - see `asks`
        add_intake_photo(
            intake=self.one(),
            data=sent_photograph(request),
            caption=asked.caption,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([self.one()])[0], status=HTTPStatus.CREATED)


class IntakePhotoFilter(FilterSet):
    """Which photographs."""

    animal = CharFilter("intake__animal__code", help_text="Code of the animal.")
    intake = NumberFilter("intake", help_text="Number of the intake.")

    class Meta:
        model = IntakePhoto
        fields = ["animal", *("intake",)]


class IntakePhotos(Rows[IntakePhoto]):
    """The newest first."""

    plural = "photographs of intakes"
    permissions = {
        "list": Permission.RECORD_INTAKE,
        "retrieve": Permission.RECORD_INTAKE,
        "file": Permission.RECORD_INTAKE,
    }
    filterset_class = IntakePhotoFilter
    gives = {"file": bytes}
    out = PhotoOut
    ordering = ("-id",)
    searched = ("caption",)
    orderable = ("id",)

    def get_queryset(self) -> QuerySet[IntakePhoto]:
        """Return all photographs."""
        return IntakePhoto.objects.all()

    @action(detail=True, renderer_classes=[Jpeg])
    def file(self, request: Request, **kwargs: str) -> Response:
        """Hand out a photograph, as a JPEG."""
        data = intake_photo(photo=self.one())
        if data is None:
            raise NotFound("The file of this photograph is not there any more.")
        return Response(data, headers=PRIVATE)


def shown_intake(row: Intake, *, sees_placements: bool) -> IntakeOut:
    """Return an intake as it is answered."""
    return IntakeOut(
        id=row.pk,
        arrival=row.arrival_id,
        animal=Ref(id=row.animal_id, code=row.animal.code),
        species=row.animal.species.code,
        species_told=row.species_told,
        species_sure=row.species_sure,
        condition=IntakeCondition(row.condition),
        chip_scan=ChipScan(row.chip_scan),
        came_with=row.came_with,
        note=row.note,
        returns=row.returns_id if sees_placements else None,
        hold_until=row.arrival.hold_until,
        hold_ended_on=row.hold_ended_on,
        hold_ended_reason=row.hold_ended_reason,
        photos=tuple(PhotoOut(id=p.pk, caption=p.caption) for p in row.photos.all()),
    )
