"""Introductions: pairs that were put together, and what came of it."""

from collections.abc import Sequence
from datetime import datetime
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
    Id,
    entry_values,
)
from api.filters import CharFilter, WholeNumberFilter, WordFilter
from api.structs import Ref, ref
from clutches.actions.introductions import IntroductionRow, record_introductions
from clutches.models import Introduction
from clutches.rules.pairings.introductions import CAUTION
from clutches.rules.vocabulary import IntroductionOutcome
from core.roles import Permission
from husbandry.actions.care_records import CareResult

Minutes = Annotated[int, Meta(ge=0, le=2**31 - 1)]


class IntroductionFilter(EntryFilter):
    """Which introductions."""

    pairing = WholeNumberFilter(
        "pairing", least=0, most=2**63 - 1, help_text="Number of the pairing."
    )
    dam = CharFilter("pairing__dam__code", help_text="Code of the female.")
    sire = CharFilter("pairing__sire__code", help_text="Code of the male.")
    outcome = WordFilter(IntroductionOutcome)

    class Meta:
        model = Introduction
        fields = [
            *("pairing", "dam", "sire", "outcome"),
            *("from_at", "until_at", "in_force"),
            *("recorded_from", "recorded_by"),
        ]


class IntroductionIn(ContentIn, frozen=True, kw_only=True):
    """A pair was put together once."""

    pairing: Annotated[Id, Meta(description="Number of the pairing.")]
    outcome: IntroductionOutcome
    minutes: Annotated[
        Minutes | None,
        Meta(description="How long they were together, 1 to 43200; null: not noted."),
    ] = None
    corrects: CORRECTS = None


class IntroductionOut(EntryOut, frozen=True):
    """A pair that was put together once."""

    about = Introduction
    pairing: int
    dam: Ref | None
    sire: Ref | None
    outcome: IntroductionOutcome
    minutes: int | None


class RecordedIntroduction(IntroductionOut, frozen=True):
    """An introduction that was just recorded."""

    remarks: Annotated[
        tuple[str, ...], Meta(description="Such as when she may lay, or a fight.")
    ]
    caution: Annotated[str, Meta(description="What to mind whenever a pair meets.")] = (
        CAUTION
    )


class Introductions(Entries[Introduction, IntroductionIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "introductions"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "strike": Permission.RECORD_BREEDING,
    }
    filterset_class = IntroductionFilter
    takes = {**Entries.takes, "create": (IntroductionIn, list[IntroductionIn])}
    gives = {
        "create": {HTTPStatus.CREATED: RecordedIntroduction, HTTPStatus.OK: CareReport}
    }
    out = IntroductionOut
    searched = ("pairing__dam__code", "pairing__sire__code", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, recorded = IntroductionIn, RecordedIntroduction

    def get_queryset(self) -> QuerySet[Introduction]:
        """Return all introductions."""
        return Introduction.objects.select_related(
            "pairing__dam", "pairing__sire", *PEOPLE
        )

    def shown(self, rows: Sequence[Introduction]) -> list[IntroductionOut]:
        """Return introductions with the codes of both animals."""
        return [
            IntroductionOut(
                **entry_values(row),
                pairing=row.pairing_id,
                dam=ref(row.pairing.dam),
                sire=ref(row.pairing.sire),
                outcome=IntroductionOutcome(row.outcome),
                minutes=row.minutes,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record that a pair was put together, or several.

        One introduction answers 201, or 409 where it cannot be. A list answers 200 with
        what became of each line; a bad line does not keep the others out. Recorded
        again, the same changes nothing. Watch every introduction from beginning to end
        and separate them at once if they bite or fight.
        """
        return self.record_sent(request)

    def label(self, line: IntroductionIn) -> str:
        """Return which pairing it is about."""
        return str(line.pairing)

    def record(
        self, lines: Sequence[IntroductionIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record introductions, and return what became of each."""
        rows = [
            IntroductionRow(
                pairing=line.pairing,
                at=line.at or now,
                outcome=line.outcome,
                minutes=line.minutes,
                note=line.note,
                corrects=line.corrects,
            )
            for line in lines
        ]
        return record_introductions(rows=rows, by=self.person, recorded_at=now)
