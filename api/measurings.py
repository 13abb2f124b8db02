"""Measurings: how long animals are."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL
from api.care_entries import Entries
from api.care_filters import AnimalEntryFilter
from api.care_structs import (
    CORRECTS,
    PEOPLE,
    CareReport,
    ContentIn,
    EntryOut,
    entry_values,
)
from api.inputs import exact
from api.structs import Ref, ref
from husbandry.actions.care_records import CareResult
from husbandry.actions.measurings import MeasuringRow, record_measurings
from husbandry.models import Measuring


class MeasuringFilter(AnimalEntryFilter):
    """Which measurings."""

    class Meta:
        model = Measuring
        fields = [
            "animal",
            "enclosure",
            "room",
            "from_at",
            "until_at",
            "in_force",
            *("recorded_from", "recorded_by"),
        ]


class MeasuringIn(ContentIn, frozen=True, kw_only=True):
    """How long one animal was; one length at least."""

    animal: LABEL
    snout_vent_cm: Annotated[
        float | None,
        Meta(description="From the snout to the vent, cm; kept to 0.1 cm."),
    ] = None
    total_cm: Annotated[
        float | None,
        Meta(description="From the snout to the tip of the tail, cm; kept to 0.1 cm."),
    ] = None
    corrects: CORRECTS = None


class MeasuringOut(EntryOut, frozen=True):
    """How long one animal was at one instant."""

    about = Measuring
    animal: Ref | None
    snout_vent_cm: Annotated[
        Decimal | None, Meta(description="From the snout to the vent, cm.")
    ]
    total_cm: Annotated[
        Decimal | None, Meta(description="From the snout to the tip of the tail, cm.")
    ]


class RecordedMeasuring(MeasuringOut, frozen=True):
    """A measuring that was just recorded."""

    remarks: tuple[str, ...]


class Measurings(Entries[Measuring, MeasuringIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "measurings"
    filterset_class = MeasuringFilter
    takes = {**Entries.takes, "create": MeasuringIn | list[MeasuringIn]}
    gives = {
        "create": {HTTPStatus.CREATED: RecordedMeasuring, HTTPStatus.OK: CareReport}
    }
    out = MeasuringOut
    searched = ("animal__code", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, recorded = MeasuringIn, RecordedMeasuring

    def get_queryset(self) -> QuerySet[Measuring]:
        """Return all measurings."""
        return Measuring.objects.select_related("animal", *PEOPLE)

    def shown(self, rows: Sequence[Measuring]) -> list[MeasuringOut]:
        """Return measurings with the codes of their animals."""
        return [
            MeasuringOut(
                **entry_values(row),
                animal=ref(row.animal),
                snout_vent_cm=row.snout_vent_cm,
                total_cm=row.total_cm,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record how long an animal was, or several.

        One measuring answers 201, or 409 where it cannot be. A list answers 200 with
        what became of each line; a bad line does not keep the others out. Recorded
        again, the same changes nothing.
        """
        return self.record_sent(request)

    def label(self, line: MeasuringIn) -> str:
        """Return which animal was measured."""
        return line.animal

    def record(
        self, lines: Sequence[MeasuringIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record measurings, and return what became of each."""
        rows = [_row(line, now) for line in lines]
        return record_measurings(rows=rows, by=self.person, recorded_at=now)


def _row(line: MeasuringIn, now: datetime) -> MeasuringRow:
    body, whole = line.snout_vent_cm, line.total_cm
    return MeasuringRow(
        animal=line.animal,
        at=line.at or now,
        snout_vent_cm=None if body is None else exact(body),
        total_cm=None if whole is None else exact(whole),
        note=line.note,
        corrects=line.corrects,
    )
