"""Readings as charts and pages want them."""

from collections.abc import Collection, Mapping
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
        SELECT probe_id, at, {column} AS milli,
               LAG(at) OVER (PARTITION BY probe_id ORDER BY at) AS before
          FROM husbandry_reading
         WHERE probe_id IN ({probes}) AND at >= %s AND at < %s
           AND {column} IS NOT NULL
    ), runs AS (
        SELECT probe_id, at, milli, SUM(CASE WHEN at - before > (
                   SELECT %s * interval_s FROM husbandry_probe WHERE id = probe_id
               ) THEN 1 ELSE 0 END) OVER (PARTITION BY probe_id ORDER BY at) AS run
          FROM seen
    )
    SELECT probe_id, run, MIN(at), MAX(at), MIN(milli), MAX(milli), COUNT(*)
      FROM runs GROUP BY probe_id, run, (at - %s) / %s
     ORDER BY probe_id, run, MIN(at)"""


def reading_series(
    *,
    probe_id: int,
    quantity: Quantity,
    from_s: int,
    until_s: int,
    most_points: int = MOST_POINTS,
) -> Series:
    """Return what one probe measured of one quantity; see `reading_series_of`."""
    found = reading_series_of(
        probe_ids=[probe_id],
        quantity=quantity,
        from_s=from_s,
        until_s=until_s,
        most_points=most_points,
    )
    return found[probe_id]


def reading_series_of(
    *,
    probe_ids: Collection[int],
    quantity: Quantity,
    from_s: int,
    until_s: int,
    most_points: int = MOST_POINTS,
) -> dict[int, Series]:
    """Return what probes measured of one quantity, thinned for a chart.

    Args:
        probe_ids: the probes, such as those of one enclosure; none asks nothing.
        quantity: which.
        from_s: first epoch second.
        until_s: the epoch second after the last; it must be later than `from_s`.
        most_points: into how many spans of equal length the time is cut. Each span
            with readings is a point that keeps the lowest and the highest of them,
            so that thinning hides no extreme; a gap within it makes two of it.

    Returns:
        A series for each probe, empty where it measured nothing; values in
        thousandths. One query.
    """
    span_s = max(1, -(-(until_s - from_s) // most_points))
    runs: dict[int, dict[int, list[SeriesPoint]]] = {pk: {} for pk in probe_ids}
    if runs:
        asked = _SERIES.format(
            column=_COLUMN[quantity], probes=", ".join(["%s"] * len(runs))
        )
        with connection.cursor() as cursor:
            cursor.execute(
                asked, [*runs, from_s, until_s, HOLD_INTERVALS, from_s, span_s]
            )
            for probe_id, run, *point in cursor.fetchall():
                runs[probe_id].setdefault(run, []).append(SeriesPoint(*point))
    return {pk: _series(quantity, found) for pk, found in runs.items()}


def _series(quantity: Quantity, runs: Mapping[int, list[SeriesPoint]]) -> Series:
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
