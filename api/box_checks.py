"""Box checks: that somebody looked into a box, weighed it, made up lost water."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

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
from api.filters import CharFilter
from api.inputs import exact
from api.structs import Ref, ref
from clutches.actions.box_checks import BoxCheckRow, record_box_checks
from clutches.models import BoxCheck
from core.roles import Permission
from husbandry.actions.care_records import CareResult


class BoxCheckFilter(EntryFilter):
    """Which box checks."""

    box = CharFilter("box__code", help_text="Code of the box.")

    class Meta:
        model = BoxCheck
        fields = [
            "box",
            "from_at",
            "until_at",
            "in_force",
            *("recorded_from", "recorded_by"),
        ]


class BoxCheckIn(ContentIn, frozen=True, kw_only=True):
    """One look into one box; without a mass it was only looked into."""

    box: Annotated[str, Meta(description="Code of the box.")]
    mass_g: Annotated[
        float | None,
        Meta(description="Of the box with all in it before watering, grams."),
    ] = None
    water_g: Annotated[
        float | None, Meta(description="Water that was added then, grams.")
    ] = None
    corrects: CORRECTS = None


class BoxCheckOut(EntryOut, frozen=True):
    """One look into one box."""

    about = BoxCheck
    box: Ref | None
    mass_g: Decimal | None
    water_g: Decimal | None


class RecordedBoxCheck(BoxCheckOut, frozen=True):
    """A box check that was just recorded."""

    remarks: tuple[str, ...]


class BoxChecks(Entries[BoxCheck, BoxCheckIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "box checks"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "strike": Permission.RECORD_BREEDING,
    }
    filterset_class = BoxCheckFilter
    takes = {**Entries.takes, "create": BoxCheckIn | list[BoxCheckIn]}
    gives = {
        "create": {HTTPStatus.CREATED: RecordedBoxCheck, HTTPStatus.OK: CareReport}
    }
    out = BoxCheckOut
    searched = ("box__code", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, recorded = BoxCheckIn, RecordedBoxCheck

    def get_queryset(self) -> QuerySet[BoxCheck]:
        """Return all box checks."""
        return BoxCheck.objects.select_related("box", *PEOPLE)

    def shown(self, rows: Sequence[BoxCheck]) -> list[BoxCheckOut]:
        """Return box checks with the codes of their boxes."""
        return [
            BoxCheckOut(
                **entry_values(row),
                box=ref(row.box),
                mass_g=row.mass_g,
                water_g=row.water_g,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record that somebody looked into a box, or into several.

        One check answers 201, or 409 where it cannot be. A list answers 200 with what
        became of each line; a bad line does not keep the others out. Recorded again,
        the same changes nothing.
        """
        return self.record_sent(request)

    def label(self, line: BoxCheckIn) -> str:
        """Return which box was looked into."""
        return line.box

    def record(
        self, lines: Sequence[BoxCheckIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record box checks, and return what became of each."""
        rows = [
            BoxCheckRow(
                box=line.box,
                at=line.at or now,
                mass_g=None if line.mass_g is None else exact(line.mass_g),
                water_g=None if line.water_g is None else exact(line.water_g),
                note=line.note,
                corrects=line.corrects,
            )
            for line in lines
        ]
        return record_box_checks(rows=rows, by=self.person, recorded_at=now)
