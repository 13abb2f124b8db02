"""Sight lines: which enclosures can be seen from one another."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import Q, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_filters import in_room, room_filter
from api.clutch_structs import named
from api.filters import BooleanFilter, CharFilter, DayFilter, FilterSet
from api.inputs import read_body, sent
from api.named import day_there
from api.structs import In, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.sight_lines import note_sight_line, remove_sight_line
from husbandry.models import SightLine

ENCLOSURE = Annotated[str, Meta(description="Code of one of the two, in either order.")]
OTHER = Annotated[str, Meta(description="Code of the other.")]


class SightLineFilter(FilterSet):
    """Which lines of sight."""

    enclosure = CharFilter(
        method="from_enclosure", help_text="Code of either enclosure."
    )
    room = room_filter("from_room")
    on = DayFilter(method="on_day", help_text="Those whose days hold this one.")
    open = BooleanFilter(
        "until_on", "isnull", help_text="true: nothing stands between yet."
    )

    class Meta:
        model = SightLine
        fields = ["enclosure", "room", "on", "open"]

    def from_enclosure(
        self, rows: QuerySet[SightLine], name: str, value: str
    ) -> QuerySet[SightLine]:
        """Return those from or to an enclosure."""
        return rows.filter(Q(enclosure__code=value) | Q(other__code=value))

    def from_room(
        self, rows: QuerySet[SightLine], name: str, value: str
    ) -> QuerySet[SightLine]:
        """Return those from or into a room."""
        return rows.filter(
            in_room("enclosure__room", value) | in_room("other__room", value)
        )

    def on_day(
        self, rows: QuerySet[SightLine], name: str, value: date
    ) -> QuerySet[SightLine]:
        """Return those that were open on a day."""
        still = Q(until_on__isnull=True) | Q(until_on__gte=value)
        return rows.filter(still, from_on__lte=value)


class SightLineIn(In, frozen=True, kw_only=True):
    """Two enclosures from each of which the other can be seen."""

    enclosure: ENCLOSURE
    other: OTHER
    from_on: Annotated[
        date | None, Meta(description="Since when; today at the site unless given.")
    ] = None


class BlockedSightIn(In, frozen=True, kw_only=True):
    """Two enclosures between which something stands now."""

    enclosure: ENCLOSURE
    other: OTHER
    until_on: Annotated[
        date | None,
        Meta(
            description="Last day on which they saw each other; today at the site "
            "unless given."
        ),
    ] = None


class SightLineOut(Out, frozen=True):
    """One line of sight; the enclosure with the lower number stands first."""

    about = SightLine
    id: int
    enclosure: Ref | None
    other: Ref | None
    from_on: date
    until_on: date | None


class SightLines(Rows[SightLine]):
    """The newest first; animals that see each other all day may be under stress."""

    plural = "sight lines"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "create": Permission.EDIT_PLACES,
        "remove": Permission.EDIT_PLACES,
    }
    filterset_class = SightLineFilter
    takes = {"create": SightLineIn, "remove": BlockedSightIn}
    gives = {"create": {HTTPStatus.CREATED: SightLineOut}}
    out = SightLineOut
    ordering = ("-from_on", "-id")
    searched = ("enclosure__code", "other__code")
    orderable = ("id", "from_on")

    def get_queryset(self) -> QuerySet[SightLine]:
        """Return all lines of sight, those that are blocked by now too."""
        return SightLine.objects.select_related("enclosure", "other")

    def shown(self, rows: Sequence[SightLine]) -> list[SightLineOut]:
        """Return lines of sight with the codes of the enclosures."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Note that each of two enclosures can be seen from the other.

        Nights from that day on are reviewed again.
        """
        given = read_body(sent(request), SightLineIn)
        enclosure = named("enclosure", given.enclosure)
        row = note_sight_line(
            enclosure=enclosure,
            other=named("other", given.other),
            from_on=given.from_on or day_there(enclosure, timezone.now()),
            by=self.person,
            at=timezone.now(),
        )
        return Response(_shown(row), status=HTTPStatus.CREATED)

    @action(detail=False, methods=["post"])
    def remove(self, request: Request) -> Response:
        """Note that something stands between two enclosures now."""
        given = read_body(sent(request), BlockedSightIn)
        enclosure = named("enclosure", given.enclosure)
        row = remove_sight_line(
            enclosure=enclosure,
            other=named("other", given.other),
            until_on=given.until_on or day_there(enclosure, timezone.now()),
            by=self.person,
            at=timezone.now(),
        )
        return Response(_shown(row))


def _shown(row: SightLine) -> SightLineOut:
    return SightLineOut(
        id=row.pk,
        enclosure=ref(row.enclosure),
        other=ref(row.other),
        from_on=row.from_on,
        until_on=row.until_on,
    )
