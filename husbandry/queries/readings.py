"""Readings as charts and pages want them."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db import connection
from django.db.models import Count, OuterRef, Subquery

from husbandry.models import Probe, Reading
from husbandry.rules.readings import HOLD_INTERVALS
from husbandry.rules.vocabulary import Quantity

MOST_POINTS = 600
"""About one for each pixel of a chart's width."""

_COLUMN = {
    Quantity.TEMPERATURE_C: "temperature_milli_c",
    Quantity.HUMIDITY_PCT: "humidity_milli_pct",
    Quantity.UV_INDEX: "uv_index_milli",
}


@dataclass(frozen=True, slots=True)
class SeriesPoint:
    """The readings of one short span, or a single reading."""

    first_at: int
    """Epoch seconds of the first reading of the span."""
    last_at: int
    lowest_milli: int
    highest_milli: int
    readings: int


@dataclass(frozen=True, slots=True)
class Series:
    """What a probe measured of one quantity, in unbroken runs."""

    quantity: Quantity
    runs: tuple[tuple[SeriesPoint, ...], ...]
    """Between two runs there is a gap: no reading was in force. Never join them."""
    readings: int


# A reading is in force for a few intervals; where the next one comes later a new
# run begins. Points are spans of equal length, cut where a run ends.
_SERIES = """
    WITH seen AS (
        SELECT at, {column} AS milli, LAG(at) OVER (ORDER BY at) AS before
          FROM husbandry_reading
         WHERE probe_id = %s AND at >= %s AND at < %s AND {column} IS NOT NULL
    ), runs AS (
        SELECT at, milli, SUM(CASE WHEN at - before > (
                   SELECT %s * interval_s FROM husbandry_probe WHERE id = %s
               ) THEN 1 ELSE 0 END) OVER (ORDER BY at) AS run
          FROM seen
    )
    SELECT run, MIN(at), MAX(at), MIN(milli), MAX(milli), COUNT(*)
      FROM runs GROUP BY run, (at - %s) / %s ORDER BY run, MIN(at)"""


def reading_series(
    *,
    probe_id: int,
    quantity: Quantity,
    from_s: int,
    until_s: int,
    most_points: int = MOST_POINTS,
) -> Series:
    """Return what a probe measured of one quantity, thinned for a chart.

    Args:
        probe_id: the probe.
        quantity: which.
        from_s: first epoch second.
        until_s: the epoch second after the last; it must be later than `from_s`.
        most_points: into how many spans of equal length the time is cut. Each span
            with readings is a point that keeps the lowest and the highest of them,
            so that thinning hides no extreme; a gap within it makes two of it.

    Returns:
        The series; values in thousandths. One query.
    """
    span_s = max(1, -(-(until_s - from_s) // most_points))
    with connection.cursor() as cursor:
        cursor.execute(
            _SERIES.format(column=_COLUMN[quantity]),
            [probe_id, from_s, until_s, HOLD_INTERVALS, probe_id, from_s, span_s],
        )
        rows = cursor.fetchall()
    runs: dict[int, list[SeriesPoint]] = {}
    for run, *point in rows:
        runs.setdefault(run, []).append(SeriesPoint(*point))
    return Series(
        quantity=quantity,
        runs=tuple(tuple(run) for run in runs.values()),
        readings=sum(point.readings for run in runs.values() for point in run),
    )


@dataclass(frozen=True, slots=True)
class LatestReading:
    """The last reading of a probe; values in thousandths, None if not measured then."""

    probe_id: int
    at: int
    """Epoch seconds."""
    temperature_milli_c: int | None
    humidity_milli_pct: int | None
    uv_index_milli: int | None


def latest_readings(
    *, probe_ids: Collection[int], until_s: int
) -> dict[int, LatestReading]:
    """Return the last reading of each probe that has one.

    Args:
        probe_ids: the probes.
        until_s: readings at or after this epoch second do not count.

    Returns:
        By probe. One query, which looks once into the index for each probe and
        value instead of reading the history.
    """
    newest = Reading.objects.filter(probe_id=OuterRef("pk"), at__lt=until_s).order_by(
        "-at"
    )
    fields = ("at", "temperature_milli_c", "humidity_milli_pct", "uv_index_milli")
    rows = Probe.objects.filter(pk__in=probe_ids).values_list(
        "pk", *(Subquery(newest.values(field)[:1]) for field in fields)
    )
    return {
        pk: LatestReading(pk, at, *values) for pk, at, *values in rows if at is not None
    }


def reading_counts(
    *, probe_ids: Collection[int], from_s: int, until_s: int
) -> dict[int, int]:
    """Return how many readings each probe has in [from_s, until_s); none: no entry."""
    rows = (
        Reading.objects.filter(probe_id__in=probe_ids, at__gte=from_s, at__lt=until_s)
        .values("probe_id")
        .annotate(readings=Count("at"))
        .order_by("probe_id")
    )
    return {row["probe_id"]: row["readings"] for row in rows}
