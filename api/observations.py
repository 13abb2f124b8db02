"""Observations: what people saw of animals, never a diagnosis."""

from collections.abc import Sequence
from datetime import date, datetime
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
from api.filters import CharFilter, WordFilter
from api.racks import ENCLOSURES, EXCEPT, RACK_ROOM, RENAMED, Spread
from api.structs import Ref, ref
from husbandry.actions.care_records import CareResult
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.models import Observation
from husbandry.rules.vocabulary import ObservationKind, Observed, Urates


class ObservationFilter(AnimalEntryFilter):
    """Which observations."""

    kind = WordFilter(ObservationKind)
    sign = CharFilter(help_text="Id of a warning sign.")

    class Meta:
        model = Observation
        fields = [
            *("animal", "enclosure", "room", "kind", "sign"),
            *("from_at", "until_at", "in_force"),
            *("recorded_from", "recorded_by"),
        ]


class SeenIn(ContentIn, frozen=True, kw_only=True):
    """What was seen."""

    kind: ObservationKind
    sign: Annotated[
        str,
        Meta(
            max_length=60,
            description="Id of a warning sign of the species' care profile; signs only.",
        ),
    ] = ""
    observed: Annotated[
        Observed | None,
        Meta(description="How it was; a refusal names the words that go with a kind."),
    ] = None
    urates: Annotated[Urates | None, Meta(description="Droppings only.")] = None
    eggs: Annotated[Small | None, Meta(description="So far; laying only.")] = None
    look_again_on: Annotated[
        date | None, Meta(description="Local day on which somebody must look again.")
    ] = None


class ObservationIn(SeenIn, frozen=True, kw_only=True):
    """What was seen of one animal."""

    animal: LABEL
    corrects: CORRECTS = None


class ObservationRackIn(SeenIn, frozen=True, kw_only=True, rename=RENAMED):
    """The same of every animal that stayed in a room, or in enclosures, then."""

    room: RACK_ROOM = None
    enclosures: ENCLOSURES = None
    except_: EXCEPT = ()


class ObservationOut(EntryOut, frozen=True):
    """One thing seen of one animal."""

    about = Observation
    animal: Ref | None
    kind: ObservationKind
    sign: str
    observed: Observed | None
    urates: Urates | None
    eggs: int | None
    look_again_on: date | None


class RecordedObservation(ObservationOut, frozen=True):
    """An observation that was just recorded."""

    remarks: Annotated[
        tuple[str, ...], Meta(description="What else has to be done about it.")
    ]


class Observations(RackEntries[Observation, ObservationIn, ObservationRackIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "observations"
    filterset_class = ObservationFilter
    takes = {
        **RackEntries.takes,
        "create": (ObservationIn, ObservationRackIn, list[ObservationIn]),
    }
    gives = {
        "create": {HTTPStatus.CREATED: RecordedObservation, HTTPStatus.OK: RackReport}
    }
    out = ObservationOut
    searched = ("animal__code", "sign", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, rack, recorded = ObservationIn, ObservationRackIn, RecordedObservation

    def get_queryset(self) -> QuerySet[Observation]:
        """Return all observations."""
        return Observation.objects.select_related("animal", *PEOPLE)

    def shown(self, rows: Sequence[Observation]) -> list[ObservationOut]:
        """Return observations with the codes of their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record what was seen of an animal, or of several, or of a whole rack.

        One observation answers 201, or 409 where it cannot be. A list answers 200
        with what became of each line; a bad line does not keep the others out. A body
        that names a `room` or `enclosures` instead of an animal is recorded for every
        animal that stayed there then, but for those in `except`, and answers like a
        list. Recorded again, the same changes nothing.
        """
        return self.record_sent(request)

    def lines(self, rack: ObservationRackIn, who: Spread) -> list[ObservationIn]:
        """Return one observation for each animal of a rack."""
        said = content(rack, SeenIn)
        return [ObservationIn(animal=one.animal, **said) for one in who.housed]

    def label(self, line: ObservationIn) -> str:
        """Return of which animal it is."""
        return line.animal

    def record(
        self, lines: Sequence[ObservationIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record observations, and return what became of each."""
        rows = [_row(line, now) for line in lines]
        return record_observations(rows=rows, by=self.person, recorded_at=now)


def _row(line: ObservationIn, now: datetime) -> ObservationRow:
    return ObservationRow(
        animal=line.animal,
        at=line.at or now,
        kind=line.kind,
        sign=line.sign,
        observed=line.observed,
        urates=line.urates,
        eggs=line.eggs,
        look_again_on=line.look_again_on,
        note=line.note,
        corrects=line.corrects,
    )


def _shown(row: Observation) -> ObservationOut:
    return ObservationOut(
        **entry_values(row),
        animal=ref(row.animal),
        kind=ObservationKind(row.kind),
        sign=row.sign,
        observed=Observed(row.observed) if row.observed else None,
        urates=Urates(row.urates) if row.urates else None,
        eggs=row.eggs,
        look_again_on=row.look_again_on,
    )
