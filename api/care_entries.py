"""The care book's doors: an entry, a list of them, one for a whole rack; struck out."""

from collections.abc import Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Any, ClassVar, Generic, TypeVar

import msgspec
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import (
    CareReport,
    ContentIn,
    RackReport,
    ReasonIn,
    report_values,
)
from api.errors import RefusedError
from api.inputs import read_body, sent
from api.racks import Rack, Spread, nobody, spread
from api.row_lists import check_count, take_rows
from api.structs import Out
from api.views import Rows
from core.roles import Permission
from husbandry.actions.care_records import CareResult, strike_out
from husbandry.models.records import CareRecord

MOST_ROWS = 1_000
R = TypeVar("R", bound=CareRecord)
L = TypeVar("L", bound=ContentIn)
K = TypeVar("K", bound=Rack)


class Struck(Rows[R], Generic[R]):
    """Entries that are struck out, not erased; the newest first."""

    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_CARE,
        "strike": Permission.RECORD_CARE,
    }
    takes = {"strike": ReasonIn}
    ordering = ("-at", "-id")

    @action(detail=True, methods=["post"])
    def strike(self, request: Request, **kwargs: str) -> Response:
        """Strike out a wrong entry, with what was wrong.

        It stays legible and counts no more. To put the right one in its place in one
        step, record that with `corrects` where the address takes it.
        """
        row = self.one()
        given = read_body(sent(request), ReasonIn)
        strike_out(record=row, reason=given.reason, by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])


class Entries(Struck[R], Generic[R, L]):
    """Entries that are recorded one by one or in lists.

    Attributes:
        line: one entry as it is sent.
        recorded: an entry as it is answered where it was recorded, with remarks.
    """

    line: type[L]
    recorded: ClassVar[type[Out]]

    def record(self, lines: Sequence[L], now: datetime) -> Sequence[CareResult]:
        """Record lines, and return what became of each."""
        raise NotImplementedError

    def label(self, line: L) -> str:
        """Return what a line is about."""
        raise NotImplementedError

    def record_sent(self, request: Request) -> Response:
        """Record the body, whether it is one entry or a list."""
        return self.recorded_as(sent(request), timezone.now())

    def recorded_as(self, body: bytes, now: datetime) -> Response:
        """Record a body, and return the answer to it."""
        if body.lstrip().startswith(b"["):
            return Response(self.record_list(body, now))
        return self._record_one(read_body(body, self.line), now)

    def record_list(self, body: bytes, now: datetime) -> CareReport:
        """Record a list; a bad line does not keep the others out."""
        return CareReport(**self.list_values(body, now))

    def list_values(self, body: bytes, now: datetime) -> dict[str, Any]:
        """Record a list, and return what a report says of it."""
        raw = read_body(body, list[msgspec.Raw])
        check_count(len(raw), most=MOST_ROWS)
        taken = take_rows(raw, self.line)
        return report_values(
            [self.label(line) for line in taken.rows],
            self.record(taken.rows, now),
            places=taken.places,
            unread=taken.refused,
        )

    def _record_one(self, line: L, now: datetime) -> Response:
        (result,) = self.record([line], now)
        if result.record is None:
            raise RefusedError(
                result.code,
                result.sentence,
                fields=dict(result.fields),
                status=HTTPStatus.CONFLICT,
            )
        (shown,) = self.shown([self.get_queryset().get(pk=result.record)])
        told = self.recorded(**msgspec.structs.asdict(shown), remarks=result.remarks)
        return Response(told, status=HTTPStatus.CREATED)


class RackEntries(Entries[R, L], Generic[R, L, K]):
    """Entries that are also recorded for a whole rack at once.

    Attributes:
        rack: one content for all, as it is sent.
    """

    rack: type[K]

    def lines(self, rack: K, who: Spread) -> list[L]:
        """Return one line for each that the content is about."""
        raise NotImplementedError

    def is_rack(self, given: dict[str, Any]) -> bool:
        """Say whether a body names a rack instead of one subject."""
        return "room" in given or "enclosures" in given

    def empty(self, who: Spread) -> tuple[str, ...]:
        """Return the named enclosures of which nothing was recorded."""
        return who.empty

    def recorded_as(self, body: bytes, now: datetime) -> Response:
        """Record a body, and return the answer to it."""
        given = read_body(body, Any)
        if not isinstance(given, dict) or not self.is_rack(given):
            return super().recorded_as(body, now)
        rack = read_body(body, self.rack)
        who = spread(rack, at=rack.at or now)
        lines = self.lines(rack, who)
        if not lines:
            raise nobody(who)
        values = report_values(
            [self.label(line) for line in lines],
            self.record(lines, now),
            places=range(len(lines)),
        )
        return Response(RackReport(**values, empty=self.empty(who)))

    def record_list(self, body: bytes, now: datetime) -> CareReport:
        """Record a list; a bad line does not keep the others out."""
        return RackReport(**self.list_values(body, now))


def content(given: ContentIn, of: type[ContentIn]) -> dict[str, Any]:
    """Return the fields that a line and a rack share."""
    return {name: getattr(given, name) for name in of.__struct_fields__}
