"""Chores: cleaning, misting and gut-loading; for a whole rack at once, too."""

from collections.abc import Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_entries import RackEntries, content
from api.care_filters import EntryFilter, in_room, room_filter
from api.care_structs import (
    CORRECTS,
    PEOPLE,
    ROOM,
    ContentIn,
    EntryOut,
    RackReport,
    entry_values,
)
from api.filters import CharFilter, WordFilter
from api.racks import ENCLOSURES, EXCEPT, RACK_ROOM, RENAMED, Spread
from api.structs import Ref, ref
from husbandry.actions.care_records import CareResult
from husbandry.actions.chores import ChoreRow, record_chores
from husbandry.models import Chore
from husbandry.rules.vocabulary import ChoreKind


class ChoreFilter(EntryFilter):
    """Which chores."""

    kind = WordFilter(ChoreKind)
    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    room = room_filter("by_room")

    class Meta:
        model = Chore
        fields = [
            "kind",
            "enclosure",
            "room",
            "from_at",
            "until_at",
            "in_force",
            *("recorded_from", "recorded_by"),
        ]

    def by_room(self, rows: QuerySet[Chore], name: str, value: str) -> QuerySet[Chore]:
        """Return what was done in a room's enclosures or for its insects."""
        return rows.filter(in_room("enclosure__room", value) | in_room("room", value))


class DoneIn(ContentIn, frozen=True, kw_only=True):
    """What was done."""

    kind: ChoreKind


class ChoreIn(DoneIn, frozen=True, kw_only=True):
    """What was done for one enclosure, or for the insects of one room."""

    enclosure: Annotated[
        str, Meta(description="Code of what was cleaned or misted.")
    ] = ""
    room: Annotated[
        ROOM | None, Meta(description="Gut-loading only: whose insects were fed.")
    ] = None
    feeder: Annotated[
        str,
        Meta(
            max_length=60,
            description="Gut-loading only: id of a feeder row of a care profile.",
        ),
    ] = ""
    corrects: CORRECTS = None


class ChoreRackIn(DoneIn, frozen=True, kw_only=True, rename=RENAMED):
    """The same for enclosures, or for all those of a room in which animals stayed."""

    room: RACK_ROOM = None
    enclosures: ENCLOSURES = None
    except_: Annotated[
        EXCEPT, Meta(description="Codes of animals whose enclosures are left out.")
    ] = ()


class ChoreOut(EntryOut, frozen=True):
    """What was done for one enclosure or one room."""

    about = Chore
    kind: ChoreKind
    enclosure: Ref | None
    room: ROOM | None
    feeder: str


class RecordedChore(ChoreOut, frozen=True):
    """A chore that was just recorded."""

    remarks: tuple[str, ...]


class Chores(RackEntries[Chore, ChoreIn, ChoreRackIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "chores"
    filterset_class = ChoreFilter
    takes = {**RackEntries.takes, "create": (ChoreIn, ChoreRackIn, list[ChoreIn])}
    gives = {"create": {HTTPStatus.CREATED: RecordedChore, HTTPStatus.OK: RackReport}}
    out = ChoreOut
    searched = ("enclosure__code", "feeder", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, rack, recorded = ChoreIn, ChoreRackIn, RecordedChore

    def get_queryset(self) -> QuerySet[Chore]:
        """Return all chores."""
        return Chore.objects.select_related("enclosure", "room__site", *PEOPLE)

    def shown(self, rows: Sequence[Chore]) -> list[ChoreOut]:
        """Return chores with the codes of their places."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record what was done for an enclosure or a room, or several, or a rack.

        One chore answers 201, or 409 where it cannot be. A list answers 200 with what
        became of each line; a bad line does not keep the others out. Cleaning or
        misting that names `enclosures`, or a `room`, is recorded for those enclosures,
        or for all of the room in which an animal stayed then, but for those of the
        animals in `except`, and answers like a list. Recorded again, the same changes
        nothing.
        """
        return self.record_sent(request)

    def is_rack(self, given: dict[str, Any]) -> bool:
        """Say whether a body names a rack; gut-loading is done for a room as such."""
        gut_loading = given.get("kind") == ChoreKind.GUT_LOADING.value
        return "enclosures" in given or ("room" in given and not gut_loading)

    def lines(self, rack: ChoreRackIn, who: Spread) -> list[ChoreIn]:
        """Return one chore for each enclosure of a rack."""
        left_out = {one.enclosure for one in who.left_out}
        named = rack.enclosures or tuple(one.enclosure for one in who.housed)
        return [
            ChoreIn(enclosure=code, **content(rack, DoneIn))
            for code in dict.fromkeys(named)
            if code not in left_out
        ]

    def empty(self, who: Spread) -> tuple[str, ...]:
        """Return nothing: what was named was done, whoever lives there."""
        return ()

    def label(self, line: ChoreIn) -> str:
        """Return where it was done."""
        return line.enclosure or line.room or ""

    def record(self, lines: Sequence[ChoreIn], now: datetime) -> Sequence[CareResult]:
        """Record chores, and return what became of each."""
        rows = [_row(line, now) for line in lines]
        return record_chores(rows=rows, by=self.person, recorded_at=now)


def _row(line: ChoreIn, now: datetime) -> ChoreRow:
    room = None
    if line.room is not None:
        site, _, code = line.room.partition("/")
        room = site, code
    return ChoreRow(
        kind=line.kind,
        at=line.at or now,
        enclosure=line.enclosure,
        room=room,
        feeder=line.feeder,
        note=line.note,
        corrects=line.corrects,
    )


def _shown(row: Chore) -> ChoreOut:
    room = row.room
    return ChoreOut(
        **entry_values(row),
        kind=ChoreKind(row.kind),
        enclosure=ref(row.enclosure),
        room=f"{room.site.code}/{room.code}" if room else None,
        feeder=row.feeder,
    )
