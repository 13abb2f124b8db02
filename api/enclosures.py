"""Enclosures: how they stand, and who lives there."""

from collections.abc import Sequence
from datetime import date, datetime, time
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import ROOM, Small, Text
from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.named import day_there, room_named
from api.probes import quantities_of
from api.series import SeriesAsked, SeriesOut, series_asked
from api.structs import In, Out, Ref, from_row, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.enclosures import add_enclosure, retire_enclosure
from husbandry.models import Enclosure, Setup, Stay
from husbandry.rules.vocabulary import EnclosureKind, Lights, Misting


class EnclosureFilter(FilterSet):
    """Which enclosures."""

    code = CharFilter(help_text="Code on its label.")
    site = CharFilter("room__site__code", help_text="Code of the site.")
    room = CharFilter("room__code", help_text="Code of the room.")
    kind = WordFilter(EnclosureKind)
    in_use = BooleanFilter("retired_on", "isnull", help_text="true: not retired.")

    class Meta:
        model = Enclosure
        fields = ["code", "site", "room", "kind", "in_use"]


class EnclosureIn(In, frozen=True, kw_only=True):
    """An enclosure; its set-up is said by itself, at `set-ups/`."""

    code: Annotated[
        str, Meta(min_length=1, max_length=20, description="As on its label.")
    ]
    room: ROOM
    kind: EnclosureKind
    position: Annotated[
        Small, Meta(description="Order in which the room is walked.")
    ] = 0
    notes: Text = ""


class EnclosureRetiredIn(In, frozen=True, kw_only=True):
    """That an enclosure is out of use."""

    on: Annotated[
        date | None,
        Meta(
            description="First local day on which it is not used any more; today "
            "unless given."
        ),
    ] = None
    reason: Annotated[str, Meta(max_length=200)] = ""


class SetupOut(Out, frozen=True):
    """How an enclosure stands from a day on."""

    about = Setup
    from_on: date
    width_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    depth_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    height_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    lights: Lights
    lights_on: time | None
    lights_off: time | None
    laying_bin: bool
    misting: Misting


class EnclosureOut(Out, frozen=True):
    """One enclosure as it stands today."""

    about = Enclosure
    id: int
    code: str
    site: Ref | None
    room: Ref | None
    position: int
    kind: EnclosureKind
    retired_on: date | None
    notes: str
    setup: Annotated[
        SetupOut | None,
        Meta(description="In force on the site's day today; null: never described."),
    ]
    animals: Annotated[tuple[Ref, ...], Meta(description="Who lives there now.")]
    probes: Annotated[tuple[Ref, ...], Meta(description="Its probes in use today.")]


class EnclosureSeriesOut(Out, frozen=True):
    """What all probes of an enclosure measured of one quantity."""

    enclosure: Ref | None
    series: Annotated[
        tuple[SeriesOut, ...],
        Meta(description="By probe; retired ones too, as they measured before."),
    ]


class Enclosures(Rows[Enclosure]):
    """In walking order within a room; incubators too."""

    plural = "enclosures"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "series": Permission.SEE_CONDITIONS,
        "create": Permission.EDIT_PLACES,
        "retire": Permission.EDIT_PLACES,
    }
    asks = {"series": SeriesAsked}
    filterset_class = EnclosureFilter
    takes = {"create": EnclosureIn, "retire": EnclosureRetiredIn}
    gives = {
        "create": {HTTPStatus.CREATED: EnclosureOut},
        "series": EnclosureSeriesOut,
    }
    out = EnclosureOut
    ordering = ("room_id", "position", "code", "id")
    searched = ("code", "notes")
    orderable = ("id", "code", "position", "kind", "retired_on")

    def get_queryset(self) -> QuerySet[Enclosure]:
        """Return all enclosures with what stands and lives in them."""
        stays = Stay.objects.filter(until_at__isnull=True).select_related("animal")
        return Enclosure.objects.select_related("room__site").prefetch_related(
            Prefetch("setups", Setup.objects.order_by("from_on")),
            Prefetch("stays", stays.order_by("place", "pk"), to_attr="open_stays"),
            "probes",
        )

    def shown(self, rows: Sequence[Enclosure]) -> list[EnclosureOut]:
        """Return enclosures as they stand on the local day of each."""
        return [_shown(row, timezone.now()) for row in rows]

    def create(self, request: Request) -> Response:
        """Add an enclosure; how it stands is told to `set-ups/`."""
        given = read_body(sent(request), EnclosureIn)
        row = add_enclosure(
            code=given.code,
            room=room_named(given.room),
            kind=given.kind,
            position=given.position,
            notes=given.notes,
            by=self.person,
            at=timezone.now(),
        )
        return self._answer(row, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def retire(self, request: Request, **kwargs: str) -> Response:
        """Take an empty enclosure out of use, and its probes with it."""
        row, now = self.one(), timezone.now()
        given = read_body(sent(request), EnclosureRetiredIn)
        retire_enclosure(
            enclosure=row,
            on=given.on or day_there(row, now),
            reason=given.reason,
            by=self.person,
            at=now,
        )
        return self._answer(row)

    @action(detail=True)
    def series(self, request: Request, **kwargs: str) -> Response:
        """Show what all probes of an enclosure measured of one quantity over time.

        As `probes/{id}/series/` does for one: each span of time keeps its lowest and
        its highest reading, and gaps stay gaps.
        """
        asked, row = self.asked, self.one()
        assert isinstance(asked, SeriesAsked)  # noqa: S101 - see `asks`
        probes = sorted(row.probes.all(), key=lambda probe: probe.code)
        measuring = [p for p in probes if asked.quantity in quantities_of(p)]
        found = series_asked(measuring, asked)
        return Response(EnclosureSeriesOut(enclosure=ref(row), series=tuple(found)))

    def _answer(self, row: Enclosure, *, status: int = HTTPStatus.OK) -> Response:
        (shown,) = self.shown([self.get_queryset().get(pk=row.pk)])
        return Response(shown, status=status)


def _shown(row: Enclosure, at: datetime) -> EnclosureOut:
    today = at.astimezone(ZoneInfo(row.room.site.time_zone)).date()
    begun = [setup for setup in row.setups.all() if setup.from_on <= today]
    in_use = [
        probe
        for probe in row.probes.all()
        if probe.from_on <= today
        and (probe.retired_on is None or probe.retired_on >= today)
    ]
    stays: list[Stay] = getattr(row, "open_stays")  # noqa: B009 - named by the prefetch
    return EnclosureOut(
        id=row.pk,
        code=row.code,
        site=ref(row.room.site),
        room=ref(row.room),
        position=row.position,
        kind=EnclosureKind(row.kind),
        retired_on=row.retired_on,
        notes=row.notes,
        setup=from_row(begun[-1], SetupOut) if begun else None,
        animals=tuple(Ref(id=s.animal.pk, code=s.animal.code) for s in stays),
        probes=tuple(Ref(id=p.pk, code=p.code) for p in in_use),
    )
