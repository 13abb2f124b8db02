"""Readings are posted here, by loggers, hubs and scripts."""

from collections.abc import Collection, Mapping
from typing import Annotated

import numpy as np
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.inputs import sent
from api.parsers import (
    Body,
    CsvRowsBody,
    MsgpackBody,
    NdjsonBody,
    VendorMsgpackBody,
)
from api.reading_batches import Batch
from api.reading_formats import read_batch
from api.reading_structs import CsvIn, NdjsonIn, ReadingColumnsIn, ReadingRowsIn
from api.row_lists import RefusedRow
from api.structs import Out
from api.views import Door
from core.roles import Permission
from husbandry.actions.sent_readings import TakenReadings, take_readings
from husbandry.models import Probe
from husbandry.queries.devices import probe_ids_of
from husbandry.rules.reading_reports import MOST_LISTED, RefusedReading
from husbandry.rules.readings import Longs, Mask
from husbandry.rules.unclaimed import UnclaimedColumns

NOT_YOUR_PROBE = "not_your_probe"
NAMED_AT_MOST = 1_000
"""With more codes than this all probes are read: SQLite limits parameters."""
SHAPES = (ReadingColumnsIn, ReadingRowsIn)


class ReadingsReport(Out, frozen=True):
    """What became of each reading; the counts add up to `received`."""

    received: int
    stored: Annotated[int, Meta(description="New instants.")]
    completed: Annotated[
        int, Meta(description="Known instants that have more quantities now.")
    ]
    known: Annotated[int, Meta(description="Stored before, with the same values.")]
    repeated: Annotated[int, Meta(description="Said again within the batch.")]
    conflicting: Annotated[
        int, Meta(description="Different from what was stored before, which stays.")
    ]
    unclaimed: Annotated[
        int,
        Meta(
            description="Under codes that no probe has: kept until a person says whose "
            "they are; see `unclaimed-readings/`."
        ),
    ]
    not_taken: Annotated[int, Meta(description="Refused for another reason.")]
    unknown_probes: Annotated[
        tuple[str, ...],
        Meta(description="The codes of those that are unclaimed, each once."),
    ]
    refused: Annotated[
        tuple[RefusedRow, ...],
        Meta(
            description="The conflicting ones and those not taken, in the order sent; "
            f"the first {MOST_LISTED}."
        ),
    ]


class Readings(Door):
    """Readings are stored once, whatever is sent again."""

    parser_classes = (Body, NdjsonBody, CsvRowsBody, MsgpackBody, VendorMsgpackBody)
    permissions = {"create": Permission.RECORD_READINGS}
    for_devices = frozenset({"create"})
    takes = {
        "create": {
            Body.media_type: SHAPES,
            NdjsonBody.media_type: NdjsonIn,
            CsvRowsBody.media_type: CsvIn,
            MsgpackBody.media_type: SHAPES,
            VendorMsgpackBody.media_type: SHAPES,
        }
    }
    gives = {"create": ReadingsReport}

    def create(self, request: Request) -> Response:
        """Store a batch of readings.

        In columns of one probe, or row by row, in any of the formats listed; the same
        readings give the same answer in each. Values are °C, % and UV index, kept to
        thousandths. A reading that cannot be taken does not keep the others out: the
        answer is 200 and names it. Readings under a code that no probe has are kept
        until a person claims them. Safe to send again. A device's token posts for its
        own probes: a reading of another is named with `not_your_probe`.
        """
        batch = _batch_sent(request)
        keys = _probe_ids(batch.codes)[batch.code]
        own = _own(keys, probe_ids_of(self.person))
        batch.refused.extend(_not_yours(batch, (keys > 0) & ~own))
        known, unknown = batch.where((keys > 0) & own), batch.where(keys == 0)
        taken = take_readings(
            columns=known.columns(keys[(keys > 0) & own]),
            unclaimed=UnclaimedColumns(
                unknown.codes, unknown.columns(unknown.code.astype(np.int64))
            ),
            by=self.person,
            token_name=str(getattr(request.auth, "name", "")),
            at=timezone.now(),
        )
        return Response(_report(batch, taken, known.places, unknown.places))


def _batch_sent(request: Request) -> Batch:
    given: Mapping[str, bytes] = request.data  # type: ignore[assignment] # see Body.parse
    part, body = next(iter(given.items()), ("", b""))
    if part in ("", Body.part) or not body.strip():
        return read_batch(sent(request))
    return read_batch(body, part)


def _probe_ids(codes: Collection[str]) -> Longs:
    """Return the key of each probe, in the order of the codes; 0: nobody knows it."""
    probes = Probe.objects.all()
    if len(codes) <= NAMED_AT_MOST:
        probes = probes.filter(code__in=codes)
    ids = dict(probes.values_list("code", "pk"))
    return np.array([ids.get(code, 0) for code in codes], dtype=np.int64)


def _own(keys: Longs, allowed: frozenset[int] | None) -> Mask:
    """Return which probes the caller may post for; see `probe_ids_of`."""
    if allowed is None:
        return np.ones(len(keys), dtype=np.bool_)
    return np.isin(keys, np.array(sorted(allowed), dtype=np.int64))


def _not_yours(batch: Batch, where: Mask) -> list[RefusedRow]:
    return [
        RefusedRow(
            index=int(batch.places[row]),
            code=NOT_YOUR_PROBE,
            sentence="This device does not post for the probe "
            f"{batch.codes[batch.code[row]]!r}; bind it to the device, or send it with "
            "a token that may.",
        )
        for row in np.flatnonzero(where)[:MOST_LISTED].tolist()
    ]


def _report(
    batch: Batch, taken: TakenReadings, known: Longs, unknown: Longs
) -> ReadingsReport:
    stored, parked = taken.stored, taken.parked
    refused = [
        *batch.refused,
        *(_refused(row, known) for row in stored.refusals),
        *(_refused(row, unknown) for row in parked.refusals),
    ]
    unreadable = batch.received - stored.received - parked.received
    return ReadingsReport(
        received=batch.received,
        stored=stored.stored,
        completed=stored.completed,
        known=stored.known,
        repeated=stored.repeated + parked.repeated,
        conflicting=stored.conflicting,
        unclaimed=parked.waiting,
        not_taken=stored.refused + parked.refused + unreadable,
        unknown_probes=parked.codes,
        refused=tuple(sorted(refused, key=lambda row: row.index)[:MOST_LISTED]),
    )


def _refused(row: RefusedReading, places: Longs) -> RefusedRow:
    reason = row.reason
    return RefusedRow(
        index=int(places[row.index]),
        code=row.code.value,
        sentence=f"{reason[:1].upper()}{reason[1:]}.",
    )
