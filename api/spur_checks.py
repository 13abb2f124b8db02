"""Spur checks: looks at the heels of both hind feet, each by one person."""

from collections.abc import Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL
from api.care_entries import Entries
from api.care_filters import EntryFilter
from api.care_structs import (
    CORRECTS,
    PEOPLE,
    CareReport,
    ContentIn,
    EntryOut,
    entry_values,
)
from api.filters import CharFilter, WordFilter
from api.photographs import PHOTOGRAPHS, PRIVATE, sent_photograph
from api.renderers import Jpeg, Json
from api.structs import Ref, ref
from clutches.actions.sexing import SpurCheckRow, record_spur_checks
from clutches.actions.sexing_photos import keep_photo
from clutches.models import SpurCheck
from clutches.queries.open_looks import photo_of
from clutches.rules.vocabulary import Heel
from core.roles import Permission
from husbandry.actions.care_records import CareResult


class SpurCheckFilter(EntryFilter):
    """Which looks at heels."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    clutch = CharFilter(
        "animal__hatchling__clutch__code", help_text="Code of the animal's clutch."
    )
    left = WordFilter(Heel)
    right = WordFilter(Heel)

    class Meta:
        model = SpurCheck
        fields = [
            *("animal", "clutch", "left", "right"),
            *("from_at", "until_at", "in_force"),
            *("recorded_from", "recorded_by"),
        ]


class SpurCheckIn(ContentIn, frozen=True, kw_only=True):
    """One look at both heels, by whoever sends it."""

    animal: LABEL
    left: Annotated[Heel, Meta(description="At the left hind foot.")]
    right: Annotated[Heel, Meta(description="At the right hind foot.")]
    corrects: CORRECTS = None


class SpurCheckOut(EntryOut, frozen=True):
    """One look at both heels."""

    about = SpurCheck
    animal: Ref | None
    left: Heel
    right: Heel
    looked_by: Annotated[
        str | None, Meta(description="Who looked; null: nobody knows who.")
    ]
    has_photo: Annotated[
        bool, Meta(description="There is a photograph, at `photo/` under this one.")
    ]


class RecordedSpurCheck(SpurCheckOut, frozen=True):
    """A look that was just recorded."""

    remarks: Annotated[
        tuple[str, ...],
        Meta(description="Such as that a second person has to look, too."),
    ]


class SpurChecks(Entries[SpurCheck, SpurCheckIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "spur checks"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "strike": Permission.RECORD_BREEDING,
        "photo": Permission.SEE_ANIMALS,
        "keep_photo": Permission.RECORD_BREEDING,
    }
    filterset_class = SpurCheckFilter
    takes = {
        **Entries.takes,
        "create": (SpurCheckIn, list[SpurCheckIn]),
        "keep_photo": bytes,
    }
    gives = {
        "create": {HTTPStatus.CREATED: RecordedSpurCheck, HTTPStatus.OK: CareReport},
        "photo": bytes,
        "keep_photo": {HTTPStatus.CREATED: SpurCheckOut},
    }
    out = SpurCheckOut
    searched = ("animal__code", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, recorded = SpurCheckIn, RecordedSpurCheck

    def get_queryset(self) -> QuerySet[SpurCheck]:
        """Return all looks at heels."""
        return SpurCheck.objects.select_related("animal", "looked_by", *PEOPLE)

    def shown(self, rows: Sequence[SpurCheck]) -> list[SpurCheckOut]:
        """Return looks with the codes of their animals."""
        return [
            SpurCheckOut(
                **entry_values(row),
                animal=ref(row.animal),
                left=Heel(row.left),
                right=Heel(row.right),
                looked_by=row.looked_by.username if row.looked_by else None,
                has_photo=bool(row.photo),
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record a look at an animal's heels, or several.

        One look answers 201, or 409 where it cannot be; a list answers 200 with what
        became of each line. The animal's sex follows from all looks in force: likely
        by one person's, confirmed by two who agree where the policy asks for it, open
        where they disagree or a heel is unclear. Recorded again, the same changes
        nothing.
        """
        return self.record_sent(request)

    def get_renderers(self) -> list[BaseRenderer]:
        """Return how answers are written: what is said of a photograph is JSON."""
        return [Json()] if self.action == "keep_photo" else super().get_renderers()

    @action(detail=True, renderer_classes=[Jpeg], parser_classes=PHOTOGRAPHS)
    def photo(self, request: Request, **kwargs: str) -> Response:
        """Hand out the photograph of a look, as a JPEG.

        Whoever is to look a second time does so without having seen it.
        """
        data = photo_of(check=self.one())
        if data is None:
            raise NotFound("There is no photograph of this look.")
        return Response(data, headers=PRIVATE)

    @photo.mapping.post
    def keep_photo(self, request: Request, **kwargs: str) -> Response:
        """Keep a photograph of what was seen; one for each look.

        A JPEG or PNG of at most 8 MB, as the body or as the part `file` of a form. It
        is drawn anew: where it was taken and by which camera is not kept.
        """
        check = self.one()
        keep_photo(
            check=check,
            data=sent_photograph(request),
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([self.one()])[0], status=HTTPStatus.CREATED)

    def label(self, line: SpurCheckIn) -> str:
        """Return whose heels were looked at."""
        return line.animal

    def record(
        self, lines: Sequence[SpurCheckIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record looks, and return what became of each."""
        rows = [
            SpurCheckRow(
                animal=line.animal,
                at=line.at or now,
                left=line.left,
                right=line.right,
                note=line.note,
                corrects=line.corrects,
            )
            for line in lines
        ]
        return record_spur_checks(rows=rows, by=self.person, recorded_at=now)
