"""What the small pictures show: a day of one probe, the bands wanted, the lights."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

from core.models import Site
from core.zones import instant
from husbandry.models import Conditions, Enclosure, Probe
from husbandry.queries.enclosures import setup_in_force
from husbandry.queries.readings import Series, reading_series
from husbandry.queries.review import local_day
from husbandry.rules.clock import LightTimes, bounds
from husbandry.rules.light import sun_times
from husbandry.rules.vocabulary import Period, Quantity

MOST_POINTS = 300


@dataclass(frozen=True, slots=True)
class Wanted:
    """The band of one period; an open end is None."""

    period: Period
    low: Decimal | None
    high: Decimal | None


@dataclass(frozen=True, slots=True)
class ProbeDay:
    """What a probe measured of one quantity on one local day.

    Attributes:
        edges_s: start of the day, lights on, lights off, end of the day; epoch
            seconds, in order.
        wanted: the band of each period, as the night's review wrote it down.
    """

    series: Series
    edges_s: tuple[int, int, int, int]
    wanted: tuple[Wanted, ...]


def probe_day(
    *, probe: Probe, site: Site, quantity: Quantity, on: date, band: int
) -> ProbeDay:
    """Return one local day of a probe for a chart; three queries.

    Args:
        probe: with its enclosure.
        site: where it is.
        quantity: which.
        on: the local day.
        band: which of the bands; see `band_of`.
    """
    day = local_day(site, on)
    rows = Conditions.objects.filter(
        probe=probe, on=on, quantity=quantity.value, band=band
    ).order_by("period")
    return ProbeDay(
        series=reading_series(
            probe_id=probe.pk,
            quantity=quantity,
            from_s=day.start_s,
            until_s=day.end_s,
            most_points=MOST_POINTS,
        ),
        edges_s=bounds(day, _lights(probe.enclosure, site, on)),
        wanted=tuple(
            Wanted(Period(row.period), _limit(row.low), _limit(row.high))
            for row in rows
        ),
    )


def band_of(*, probe: Probe, quantity: Quantity, on: date, wanted: Wanted) -> int:
    """Return which of a probe's bands of a day is the wanted one; 0 unless another is.

    Args:
        probe: the probe.
        quantity: which.
        on: the local day.
        wanted: as the finding names it.
    """
    rows = Conditions.objects.filter(
        probe=probe, on=on, quantity=quantity.value, period=wanted.period.value
    ).order_by("band")
    for row in rows:
        if (_limit(row.low), _limit(row.high)) == (wanted.low, wanted.high):
            return row.band
    return 0


def _limit(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _lights(enclosure: Enclosure, site: Site, on: date) -> LightTimes:
    zone = ZoneInfo(site.time_zone)
    setup = setup_in_force(enclosure=enclosure, on=on)
    if setup and setup.lights_on and setup.lights_off:
        return LightTimes(
            instant(on, setup.lights_on, zone=zone),
            instant(on, setup.lights_off, zone=zone),
        )
    return LightTimes(
        *sun_times(
            latitude_deg=site.latitude_deg,
            longitude_deg=site.longitude_deg,
            on=on,
            zone=zone,
        )
    )


def conditions_of_night(*, enclosure: Enclosure, on: date) -> tuple[Conditions, ...]:
    """Return what the readings of an enclosure added up to on one local day."""
    return tuple(
        Conditions.objects.filter(probe__enclosure=enclosure, on=on)
        .select_related("probe")
        .order_by("probe__zone", "probe__code", "quantity", "period", "band")
    )
