"""Instants at which a site's clock shows something, kept for many animals at once."""

from datetime import UTC, date, datetime, time
from functools import lru_cache
from zoneinfo import ZoneInfo

_KEPT = 4096


@lru_cache(maxsize=_KEPT)
def instant_at(on: date, at: time, *, zone: ZoneInfo) -> datetime:
    """Return when a local clock shows a time on a day.

    Args:
        on: the local day.
        at: what the clock shows. Shown twice, the first time counts; not at all,
            the clock as it was before it jumped (PEP 495, fold=0).
        zone: of the site.

    Returns:
        The instant in UTC, so that hours added to it are hours that pass.
    """
    return datetime.combine(on, at, tzinfo=zone).astimezone(UTC)
