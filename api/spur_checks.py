"""Spur checks: looks at the heels of both hind feet, each by one person."""

from collections.abc import Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta
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
from api.structs import Ref, ref
from clutches.actions.sexing import SpurCheckRow, record_spur_checks
from clutches.models import SpurCheck
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
    }
    filterset_class = SpurCheckFilter
    takes = {**Entries.takes, "create": (SpurCheckIn, list[SpurCheckIn])}
    gives = {
        "create": {HTTPStatus.CREATED: RecordedSpurCheck, HTTPStatus.OK: CareReport}
    }
    out = SpurCheckOut
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
