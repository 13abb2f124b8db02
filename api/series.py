"""What probes measured over time, thinned without losing an extreme."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Annotated

from django.utils import timezone
from msgspec import Meta

from api.errors import RefusedError
from api.structs import Asked, Instant, Out, Ref, ref
from husbandry.models import Probe
from husbandry.queries.readings import Series, reading_series_of
from husbandry.rules.vocabulary import Quantity

LONGEST = timedelta(days=400)
USUAL = timedelta(days=1)


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


def series_asked(probes: Sequence[Probe], asked: SeriesAsked) -> list[SeriesOut]:
    """Return what probes measured, in their order; one query.

    Args:
        probes: none asks nothing.
        asked: which quantity, which stretch of time, how fine.

    Raises:
        RefusedError: the stretch is empty or too long.
    """
    until_at = asked.until_at or timezone.now()
    from_at = asked.from_at or until_at - USUAL
    _check_span(from_at, until_at)
    found = reading_series_of(
        probe_ids=[probe.pk for probe in probes],
        quantity=asked.quantity,
        from_s=int(from_at.timestamp()),
        until_s=int(until_at.timestamp()),
        most_points=asked.points,
    )
    return [_series(probe, found[probe.pk], from_at, until_at) for probe in probes]


def _check_span(from_at: datetime, until_at: datetime) -> None:
    span = until_at - from_at
    if not timedelta(seconds=1) <= span <= LONGEST:
        raise RefusedError(
            "bad_span",
            f"From {from_at.isoformat()} until {until_at.isoformat()} cannot be drawn; "
            f"until_at must be later than from_at, by at most {LONGEST.days} days.",
            fields={"from_at": f"at most {LONGEST.days} days before until_at"},
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
                    first_at=moment(point.first_at),
                    last_at=moment(point.last_at),
                    lowest=point.lowest_milli / 1000,
                    highest=point.highest_milli / 1000,
                    readings=point.readings,
                )
                for point in run
            )
            for run in found.runs
        ),
    )


def moment(epoch_s: int) -> datetime:
    """Return an instant of whole seconds since 1970."""
    return datetime.fromtimestamp(epoch_s, UTC)
