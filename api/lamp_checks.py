"""Lamp checks: what a UV-index meter showed where the animal sits."""

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
from api.care_filters import EntryFilter, in_room, room_filter
from api.care_structs import (
    LARGEST_ID,
    PEOPLE,
    CareReport,
    ContentIn,
    EntryOut,
    Id,
    entry_values,
)
from api.filters import CharFilter, WholeNumberFilter
from api.inputs import exact
from api.structs import Ref, ref
from core.roles import Permission
from husbandry.actions.care_records import CareResult
from husbandry.actions.lamp_lists import LampCheckRow, check_lamps
from husbandry.models import LampCheck


class LampCheckFilter(EntryFilter):
    """Which lamp checks."""

    lamp = WholeNumberFilter(
        "lamp_id", least=0, most=LARGEST_ID, help_text="Number of the lamp."
    )
    enclosure = CharFilter("lamp__enclosure__code", help_text="Code of the enclosure.")
    room = room_filter("by_room")

    class Meta:
        model = LampCheck
        fields = [
            "lamp",
            "enclosure",
            "room",
            "from_at",
            "until_at",
            "in_force",
            *("recorded_from", "recorded_by"),
        ]

    def by_room(
        self, rows: QuerySet[LampCheck], name: str, value: str
    ) -> QuerySet[LampCheck]:
        """Return what was measured in a room."""
        return rows.filter(in_room("lamp__enclosure__room", value))


class LampCheckIn(ContentIn, frozen=True, kw_only=True):
    """What the meter showed under one lamp."""

    lamp: Annotated[Id, Meta(description="Number of the lamp.")]
    uv_index: Annotated[
        float, Meta(description="UV index, 0 to 20, where the animal sits.")
    ]
    distance_cm: Annotated[
        float | None,
        Meta(description="From the lamp to the meter, cm; null: not measured."),
    ] = None


class LampCheckOut(EntryOut, frozen=True):
    """A reading under one lamp at one instant."""

    about = LampCheck
    lamp: Annotated[int, Meta(description="Number of the lamp.")]
    enclosure: Ref | None
    uv_index: Decimal
    distance_cm: Annotated[
        Decimal | None, Meta(description="From the lamp to the meter, cm.")
    ]


class RecordedLampCheck(LampCheckOut, frozen=True):
    """A reading that was just recorded."""

    remarks: tuple[str, ...]


class LampChecks(Entries[LampCheck, LampCheckIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "lamp checks"
    permissions = {
        **Entries.permissions,
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
    }
    filterset_class = LampCheckFilter
    takes = {**Entries.takes, "create": LampCheckIn | list[LampCheckIn]}
    gives = {
        "create": {HTTPStatus.CREATED: RecordedLampCheck, HTTPStatus.OK: CareReport}
    }
    out = LampCheckOut
    searched = ("lamp__enclosure__code", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, recorded = LampCheckIn, RecordedLampCheck

    def get_queryset(self) -> QuerySet[LampCheck]:
        """Return all lamp checks."""
        return LampCheck.objects.select_related("lamp__enclosure", *PEOPLE)

    def shown(self, rows: Sequence[LampCheck]) -> list[LampCheckOut]:
        """Return lamp checks with the codes of their enclosures."""
        return [
            LampCheckOut(
                **entry_values(row),
                lamp=row.lamp_id,
                enclosure=ref(row.lamp.enclosure),
                uv_index=row.uv_index,
                distance_cm=row.distance_cm,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record what the meter showed under a lamp, or under several.

        One reading answers 201, or 409 where it cannot be. A list answers 200 with
        what became of each line; a bad line does not keep the others out. Recorded
        again, the same changes nothing; a wrong one is struck out.
        """
        return self.record_sent(request)

    def label(self, line: LampCheckIn) -> str:
        """Return which lamp it is."""
        return str(line.lamp)

    def record(
        self, lines: Sequence[LampCheckIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record readings, and return what became of each."""
        rows = [
            LampCheckRow(
                lamp=line.lamp,
                at=line.at or now,
                uv_index=exact(line.uv_index),
                distance_cm=(
                    None if line.distance_cm is None else exact(line.distance_cm)
                ),
                note=line.note,
            )
            for line in lines
        ]
        return check_lamps(rows=rows, by=self.person, recorded_at=now)
