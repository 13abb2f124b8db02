"""Write what a night forecast, in place of what was written of it before."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from clutches.models import BoxStay, Forecast
from clutches.rules.forecasting import Window
from core.models import Site
from core.zones import day_bounds


@transaction.atomic
def write_forecasts(
    *, site: Site, on: date, windows: Mapping[tuple[int, int], Window]
) -> None:
    """Replace a site's forecasts of one night; two queries.

    Writes no audit entry: it is a part of the review, which writes one.

    Args:
        site: whose night it is.
        on: the local day.
        windows: by (clutch, box). Forecasts of that night go for all boxes that stood
            in an incubator of the site at its end, and for the site's clutches in
            boxes that stood nowhere, also where nothing new is written.
    """
    end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))[1]
    at = datetime.fromtimestamp(end_s, tz=UTC)
    stood = BoxStay.objects.filter(
        Q(until_at__isnull=True) | Q(until_at__gte=at),
        box=OuterRef("box"),
        from_at__lt=at,
    )
    here = Exists(stood.filter(incubator__room__site=site))
    nowhere = Q(clutch__site=site) & ~Exists(stood)
    Forecast.objects.filter(here | nowhere, on=on).delete()
    Forecast.objects.bulk_create(
        _row(key, window, on) for key, window in windows.items()
    )


def _row(key: tuple[int, int], window: Window, on: date) -> Forecast:
    coverage = window.coverage
    return Forecast(
        clutch_id=key[0],
        box_id=key[1],
        on=on,
        basis=window.basis.value,
        earliest_on=window.earliest_on,
        likely_on=window.likely_on,
        latest_on=window.latest_on,
        coverage=None if coverage is None else Decimal(str(round(coverage, 3))),
        development=window.development,
        evidence=window.evidence,
    )
