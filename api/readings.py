"""Readings are posted here, by loggers, hubs and scripts."""

from collections.abc import Sequence
from typing import Annotated

import numpy as np
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.inputs import sent
from api.reading_batches import (
    VALUES,
    Batch,
    ReadingColumnsIn,
    ReadingRowsIn,
    read_batch,
    seconds,
    thousandths,
)
from api.row_lists import RefusedRow
from api.structs import Out
from api.views import Door
from core.roles import Permission
from husbandry.actions.readings import store_readings
from husbandry.models import Probe
from husbandry.queries.devices import probe_ids_of
from husbandry.rules.reading_reports import MOST_LISTED, StoreReport
from husbandry.rules.readings import Longs, Mask, ReadingColumns, ReadingRefused

NOT_YOUR_PROBE = "not_your_probe"
NAMED_AT_MOST = 1_000
"""With more codes than this all probes are read: SQLite limits parameters."""


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
    not_taken: Annotated[int, Meta(description="Refused for another reason.")]
    refused: Annotated[
        tuple[RefusedRow, ...],
        Meta(
            description="The conflicting ones and those not taken, in the order sent; "
            f"the first {MOST_LISTED}."
        ),
    ]


class Readings(Door):
    """Readings are stored once, whatever is sent again."""

    permissions = {"create": Permission.RECORD_READINGS}
    for_devices = frozenset({"create"})
    takes = {"create": (ReadingColumnsIn, ReadingRowsIn)}
    gives = {"create": ReadingsReport}

    def create(self, request: Request) -> Response:
        """Store a batch of readings.

        In columns of one probe, or row by row. Values are °C, % and UV index, kept
        to thousandths. A reading that cannot be taken does not keep the others out:
        the answer is 200 and names it. Safe to send again. A device's token posts
        for its own probes: a reading of another is named with `not_your_probe`.
        """
        batch = read_batch(sent(request))
        columns, places = _columns(batch, probe_ids_of(self.person))
        report = store_readings(columns=columns, by=self.person, at=timezone.now())
        return Response(_report(batch, report, places))


def _columns(
    batch: Batch, allowed: frozenset[int] | None
) -> tuple[ReadingColumns, Sequence[int]]:
    """Return what can be stored, and each one's place; note what cannot be.

    Args:
        batch: as it was read.
        allowed: see `probe_ids_of`.
    """
    ids = _probe_ids(set(batch.probes))
    probe_ids = np.array([ids.get(code, 0) for code in batch.probes], dtype=np.int64)
    known = probe_ids > 0
    keep = known & _allowed(probe_ids, allowed)
    for row in np.flatnonzero(~keep)[:MOST_LISTED].tolist():
        refuse = _not_yours if known[row] else _unknown
        batch.refused.append(refuse(batch.places[row], batch.probes[row]))
    values = []
    for name, column in zip(VALUES, batch.values, strict=True):
        milli, too_large = thousandths(column)
        for row in np.flatnonzero(too_large & keep)[:MOST_LISTED].tolist():
            batch.refused.append(_too_large(batch.places[row], name, column[row]))
        keep &= ~too_large
        values.append(milli)
    temperature, humidity, uv_index = (column[keep] for column in values)
    columns = ReadingColumns.of(
        probe_ids=probe_ids[keep],
        at=np.array([seconds(at) for at in batch.at], dtype=np.int64)[keep],
        temperature=temperature,
        humidity=humidity,
        uv_index=uv_index,
    )
    kept = np.flatnonzero(keep).tolist()
    return columns, [batch.places[row] for row in kept]


def _allowed(probe_ids: Longs, allowed: frozenset[int] | None) -> Mask:
    if allowed is None:
        return np.ones(len(probe_ids), dtype=np.bool_)
    return np.isin(probe_ids, np.array(sorted(allowed), dtype=np.int64))


def _probe_ids(codes: set[str]) -> dict[str, int]:
    probes = Probe.objects.all()
    if len(codes) <= NAMED_AT_MOST:
        probes = probes.filter(code__in=codes)
    return dict(probes.values_list("code", "pk"))


def _not_yours(place: int, code: str) -> RefusedRow:
    return RefusedRow(
        index=place,
        code=NOT_YOUR_PROBE,
        sentence=f"This device does not post for the probe {code!r}; bind it to the "
        "device, or send it with a token that may.",
    )


def _unknown(place: int, code: str) -> RefusedRow:
    return RefusedRow(
        index=place,
        code=ReadingRefused.UNKNOWN_PROBE.value,
        sentence=f"There is no probe {code!r}; give the code on its label.",
    )


def _too_large(place: int, name: str, value: float | None) -> RefusedRow:
    return RefusedRow(
        index=place,
        code=ReadingRefused.OUT_OF_RANGE.value,
        sentence=f"{name} {value!r} is more than any instrument can show; give °C, % "
        "or UV index.",
    )


def _report(batch: Batch, report: StoreReport, places: Sequence[int]) -> ReadingsReport:
    refused = [
        RefusedRow(
            index=places[row.index], code=row.code.value, sentence=_sentence(row.reason)
        )
        for row in report.refusals
    ]
    together = sorted([*batch.refused, *refused], key=lambda row: row.index)
    return ReadingsReport(
        received=batch.received,
        stored=report.stored,
        completed=report.completed,
        known=report.known,
        repeated=report.repeated,
        conflicting=report.conflicting,
        not_taken=report.refused + batch.received - report.received,
        refused=tuple(together[:MOST_LISTED]),
    )


def _sentence(reason: str) -> str:
    return f"{reason[:1].upper()}{reason[1:]}."
