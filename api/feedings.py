"""Feedings: what animals were offered and ate; for a whole rack at once, too."""

from collections.abc import Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL
from api.care_entries import RackEntries, content
from api.care_filters import AnimalEntryFilter
from api.care_structs import (
    CORRECTS,
    PEOPLE,
    ContentIn,
    EntryOut,
    RackReport,
    Small,
    entry_values,
)
from api.filters import CharFilter
from api.racks import ENCLOSURES, EXCEPT, RACK_ROOM, RENAMED, Spread
from api.structs import Ref, ref
from husbandry.actions.care_records import CareResult
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.models import Feeding

MOST_SUPPLEMENTS = 20


class FeedingFilter(AnimalEntryFilter):
    """Which feedings."""

    feeder = CharFilter(help_text="Id of the feeder row: what was offered.")

    class Meta:
        model = Feeding
        fields = [
            *("animal", "enclosure", "room", "feeder"),
            *("from_at", "until_at", "in_force"),
            *("recorded_from", "recorded_by"),
        ]


class FedIn(ContentIn, frozen=True, kw_only=True):
    """What was offered and eaten."""

    feeder: Annotated[
        str,
        Meta(
            max_length=60,
            description="Id of a feeder row of the species' care profile.",
        ),
    ]
    offered: Annotated[Small, Meta(description="How many were offered, 1 to 1000.")]
    eaten: Annotated[
        Small | None, Meta(description="How many of these; null: nobody watched.")
    ] = None
    supplements: Annotated[
        tuple[str, ...],
        Meta(
            max_length=MOST_SUPPLEMENTS,
            description="Ids of supplement rows of the same profile.",
        ),
    ] = ()
    assisted: Annotated[
        bool, Meta(description="Given by hand or syringe, as a vet advised.")
    ] = False


class FeedingIn(FedIn, frozen=True, kw_only=True):
    """What one animal was offered and ate."""

    animal: LABEL
    corrects: CORRECTS = None


class FeedingRackIn(FedIn, frozen=True, kw_only=True, rename=RENAMED):
    """The same for every animal that stayed in a room, or in enclosures, then."""

    room: RACK_ROOM = None
    enclosures: ENCLOSURES = None
    except_: EXCEPT = ()


class FeedingOut(EntryOut, frozen=True):
    """One kind of food offered to one animal at one instant."""

    about = Feeding
    animal: Ref | None
    feeder: str
    offered: int
    eaten: int | None
    supplements: tuple[str, ...]
    assisted: bool


class RecordedFeeding(FeedingOut, frozen=True):
    """A feeding that was just recorded."""

    remarks: Annotated[
        tuple[str, ...], Meta(description="What was unwise about it; it is kept.")
    ]


class Feedings(RackEntries[Feeding, FeedingIn, FeedingRackIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "feedings"
    filterset_class = FeedingFilter
    takes = {
        **RackEntries.takes,
        "create": (FeedingIn, FeedingRackIn, list[FeedingIn]),
    }
    gives = {"create": {HTTPStatus.CREATED: RecordedFeeding, HTTPStatus.OK: RackReport}}
    out = FeedingOut
    searched = ("animal__code", "feeder", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, rack, recorded = FeedingIn, FeedingRackIn, RecordedFeeding

    def get_queryset(self) -> QuerySet[Feeding]:
        """Return all feedings."""
        return Feeding.objects.select_related("animal", *PEOPLE)

    def shown(self, rows: Sequence[Feeding]) -> list[FeedingOut]:
        """Return feedings with the codes of their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record what an animal was offered and ate, or several, or a whole rack.

        One feeding answers 201, or 409 where it cannot be. A list answers 200 with
        what became of each line; a bad line does not keep the others out. A body
        that names a `room` or `enclosures` instead of an animal is recorded for every
        animal that stayed there then, but for those in `except`, and answers like a
        list. Remarks say what was unwise. Recorded again, the same changes nothing.
        """
        return self.record_sent(request)

    def lines(self, rack: FeedingRackIn, who: Spread) -> list[FeedingIn]:
        """Return one feeding for each animal of a rack."""
        said = content(rack, FedIn)
        return [FeedingIn(animal=one.animal, **said) for one in who.housed]

    def label(self, line: FeedingIn) -> str:
        """Return whose feeding it is."""
        return line.animal

    def record(self, lines: Sequence[FeedingIn], now: datetime) -> Sequence[CareResult]:
        """Record feedings, and return what became of each."""
        rows = [_row(line, now) for line in lines]
        return record_feedings(rows=rows, by=self.person, recorded_at=now)


def _row(line: FeedingIn, now: datetime) -> FeedingRow:
    return FeedingRow(
        animal=line.animal,
        at=line.at or now,
        feeder=line.feeder,
        offered=line.offered,
        eaten=line.eaten,
        supplements=line.supplements,
        assisted=line.assisted,
        note=line.note,
        corrects=line.corrects,
    )


def _shown(row: Feeding) -> FeedingOut:
    return FeedingOut(
        **entry_values(row),
        animal=ref(row.animal),
        feeder=row.feeder,
        offered=row.offered,
        eaten=row.eaten,
        supplements=tuple(row.supplements),
        assisted=row.assisted,
    )
