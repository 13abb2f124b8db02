"""Probes: what each last measured, and what it measured over time."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.named import day_there, enclosure_named
from api.series import SeriesAsked, SeriesOut, moment, series_asked
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.probes import LONGEST_INTERVAL_S, add_probe, retire_probe
from husbandry.models import Probe
from husbandry.queries.readings import LatestReading, latest_readings
from husbandry.rules.readings import AHEAD_S
from husbandry.rules.vocabulary import Quantity, Zone


class ProbeFilter(FilterSet):
    """Which probes."""

    code = CharFilter(help_text="Code on its label.")
    site = CharFilter("enclosure__room__site__code", help_text="Code of the site.")
    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    zone = WordFilter(Zone)
    in_use = BooleanFilter("retired_on", "isnull", help_text="true: not retired.")

    class Meta:
        model = Probe
        fields = ["code", "site", "enclosure", "zone", "in_use"]


class ProbeIn(In, frozen=True, kw_only=True):
    """One instrument at one spot; moved, it is a new probe."""

    code: Annotated[
        str, Meta(min_length=1, max_length=40, description="As on its label.")
    ]
    enclosure: Annotated[str, Meta(description="Code of the enclosure.")]
    zone: Zone
    measures: Annotated[
        tuple[Quantity, ...], Meta(min_length=1, description="At least one.")
    ]
    interval_s: Annotated[
        int,
        Meta(
            ge=1,
            le=LONGEST_INTERVAL_S,
            description="Seconds between readings, as it was set; a reading counts "
            "for three of them at most.",
        ),
    ]
    from_on: Annotated[
        date | None,
        Meta(description="Its first local day in use; today unless given."),
    ] = None


class ProbeRetiredIn(In, frozen=True, kw_only=True):
    """That a probe is out of use."""

    on: Annotated[
        date | None, Meta(description="Its last local day in use; today unless given.")
    ] = None
    reason: Annotated[str, Meta(max_length=200)] = ""


class ReadingOut(Out, frozen=True):
    """What a probe measured at one instant; null: not measured then."""

    at: Instant
    temperature_c: Annotated[float | None, Meta(description="°C.")]
    humidity_pct: Annotated[float | None, Meta(description="Relative humidity, %.")]
    uv_index: float | None


class ProbeOut(Out, frozen=True):
    """One instrument at one spot."""

    about = Probe
    id: int
    code: str
    enclosure: Ref | None
    zone: Zone
    measures: tuple[Quantity, ...]
    interval_s: int
    from_on: date
    retired_on: date | None
    latest_reading: ReadingOut | None


class Probes(Rows[Probe]):
    """Each with its latest reading."""

    plural = "probes"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "series": Permission.SEE_CONDITIONS,
        "create": Permission.EDIT_PLACES,
        "retire": Permission.EDIT_PLACES,
    }
    asks = {"series": SeriesAsked}
    filterset_class = ProbeFilter
    takes = {"create": ProbeIn, "retire": ProbeRetiredIn}
    gives = {"series": SeriesOut, "create": {HTTPStatus.CREATED: ProbeOut}}
    out = ProbeOut
    ordering = ("code", "id")
    searched = ("code", "enclosure__code")
    orderable = ("id", "code", "from_on", "retired_on")

    def get_queryset(self) -> QuerySet[Probe]:
        """Return all probes."""
        return Probe.objects.select_related("enclosure__room__site")

    def shown(self, rows: Sequence[Probe]) -> list[ProbeOut]:
        """Return probes with what they last measured; one query."""
        latest = latest_readings(
            probe_ids=[row.pk for row in rows],
            until_s=int(timezone.now().timestamp()) + AHEAD_S + 1,
        )
        return [_shown(row, latest.get(row.pk)) for row in rows]

    @action(detail=True)
    def series(self, request: Request, **kwargs: str) -> Response:
        """Show what a probe measured of one quantity over time.

        Time is cut into spans of equal length; each keeps its lowest and its highest
        reading. Gaps stay gaps.
        """
        asked = self.asked
        assert isinstance(asked, SeriesAsked)  # noqa: S101 - see `asks`
        (found,) = series_asked([self.one()], asked)
        return Response(found)

    def create(self, request: Request) -> Response:
        """Say that an instrument measures at one spot of an enclosure.

        Nights from its first day on that were reviewed are reviewed again.
        """
        given, now = read_body(sent(request), ProbeIn), timezone.now()
        enclosure = enclosure_named(given.enclosure)
        row = add_probe(
            code=given.code,
            enclosure=enclosure,
            zone=given.zone,
            quantities=given.measures,
            interval_s=given.interval_s,
            from_on=given.from_on or day_there(enclosure, now),
            by=self.person,
            at=now,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def retire(self, request: Request, **kwargs: str) -> Response:
        """Take a probe out of use; its readings stay."""
        row, now = self.one(), timezone.now()
        given = read_body(sent(request), ProbeRetiredIn)
        retire_probe(
            probe=row,
            on=given.on or day_there(row.enclosure, now),
            reason=given.reason,
            by=self.person,
            at=now,
        )
        return Response(self.shown([row])[0])


def quantities_of(row: Probe) -> tuple[Quantity, ...]:
    """Return what a probe measures."""
    measured = {
        Quantity.TEMPERATURE_C: row.measures_temperature,
        Quantity.HUMIDITY_PCT: row.measures_humidity,
        Quantity.UV_INDEX: row.measures_uv_index,
    }
    return tuple(quantity for quantity, does in measured.items() if does)


def _shown(row: Probe, latest: LatestReading | None) -> ProbeOut:
    return ProbeOut(
        id=row.pk,
        code=row.code,
        enclosure=ref(row.enclosure),
        zone=Zone(row.zone),
        measures=quantities_of(row),
        interval_s=row.interval_s,
        from_on=row.from_on,
        retired_on=row.retired_on,
        latest_reading=_reading(latest) if latest else None,
    )


def _reading(latest: LatestReading) -> ReadingOut:
    return ReadingOut(
        at=moment(latest.at),
        temperature_c=_whole(latest.temperature_milli_c),
        humidity_pct=_whole(latest.humidity_milli_pct),
        uv_index=_whole(latest.uv_index_milli),
    )


def _whole(milli: int | None) -> float | None:
    return None if milli is None else milli / 1000
