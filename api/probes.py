"""Probes: what each last measured, and what it measured over time."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.structs import Asked, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import Probe
from husbandry.queries.readings import (
    LatestReading,
    Series,
    latest_readings,
    reading_series,
)
from husbandry.rules.readings import AHEAD_S
from husbandry.rules.vocabulary import Quantity, Zone

LONGEST = timedelta(days=400)
USUAL = timedelta(days=1)


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


class SeriesAsked(Asked, frozen=True):
    """Which stretch of time."""

    quantity: Quantity
    from_at: Annotated[
        Instant | None,
        Meta(description="First instant; a day before the end unless given."),
    ] = None
    until_at: Annotated[
        Instant | None, Meta(description="Up to which; now unless given.")
    ] = None
    points: Annotated[
        int, Meta(ge=1, le=2000, description="Into how many spans time is cut.")
    ] = 500


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


class PointOut(Out, frozen=True):
    """The readings of one short span of time."""

    first_at: Instant
    last_at: Instant
    lowest: Annotated[float, Meta(description="°C, % or UV index, by `quantity`.")]
    highest: Annotated[float, Meta(description="°C, % or UV index, by `quantity`.")]
    readings: int


class SeriesOut(Out, frozen=True):
    """What a probe measured of one quantity, thinned without losing an extreme."""

    probe: Ref | None
    quantity: Quantity
    from_at: Instant
    until_at: Instant
    readings: Annotated[int, Meta(description="How many there are in all.")]
    runs: Annotated[
        tuple[tuple[PointOut, ...], ...],
        Meta(description="Unbroken runs; between two of them nothing was measured."),
    ]


class Probes(Rows[Probe]):
    """Each with its latest reading."""

    plural = "probes"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "series": Permission.SEE_CONDITIONS,
    }
    asks = {"series": SeriesAsked}
    filterset_class = ProbeFilter
    gives = {"series": SeriesOut}
    out = ProbeOut
    ordering = ("code", "id")

    def get_queryset(self) -> QuerySet[Probe]:
        """Return all probes."""
        return Probe.objects.select_related("enclosure")

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
        probe = self.one()
        until_at = asked.until_at or timezone.now()
        from_at = asked.from_at or until_at - USUAL
        _check_span(from_at, until_at)
        found = reading_series(
            probe_id=probe.pk,
            quantity=asked.quantity,
            from_s=int(from_at.timestamp()),
            until_s=int(until_at.timestamp()),
            most_points=asked.points,
        )
        return Response(_series(probe, found, from_at, until_at))


def _check_span(from_at: datetime, until_at: datetime) -> None:
    span = until_at - from_at
    if not timedelta(seconds=1) <= span <= LONGEST:
        raise RefusedError(
            "bad_span",
            f"From {from_at.isoformat()} until {until_at.isoformat()} cannot be drawn; "
            f"until_at must be later than from_at, by at most {LONGEST.days} days.",
            fields={"from_at": f"at most {LONGEST.days} days before until_at"},
        )


def _shown(row: Probe, latest: LatestReading | None) -> ProbeOut:
    measured = {
        Quantity.TEMPERATURE_C: row.measures_temperature,
        Quantity.HUMIDITY_PCT: row.measures_humidity,
        Quantity.UV_INDEX: row.measures_uv_index,
    }
    return ProbeOut(
        id=row.pk,
        code=row.code,
        enclosure=ref(row.enclosure),
        zone=Zone(row.zone),
        measures=tuple(q for q, does in measured.items() if does),
        interval_s=row.interval_s,
        from_on=row.from_on,
        retired_on=row.retired_on,
        latest_reading=_reading(latest) if latest else None,
    )


def _reading(latest: LatestReading) -> ReadingOut:
    return ReadingOut(
        at=_moment(latest.at),
        temperature_c=_whole(latest.temperature_milli_c),
        humidity_pct=_whole(latest.humidity_milli_pct),
        uv_index=_whole(latest.uv_index_milli),
    )


def _series(
    probe: Probe, found: Series, from_at: datetime, until_at: datetime
) -> SeriesOut:
    return SeriesOut(
        probe=ref(probe),
        quantity=found.quantity,
        from_at=from_at.astimezone(UTC),
        until_at=until_at.astimezone(UTC),
        readings=found.readings,
        runs=tuple(
            tuple(
                PointOut(
                    first_at=_moment(point.first_at),
                    last_at=_moment(point.last_at),
                    lowest=point.lowest_milli / 1000,
                    highest=point.highest_milli / 1000,
                    readings=point.readings,
                )
                for point in run
            )
            for run in found.runs
        ),
    )


def _moment(epoch_s: int) -> datetime:
    return datetime.fromtimestamp(epoch_s, UTC)


def _whole(milli: int | None) -> float | None:
    return None if milli is None else milli / 1000
