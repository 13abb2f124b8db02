"""The line of the morning sheet about readings of probes that nobody knows."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from husbandry.queries.review_states import SiteMorning
from husbandry.queries.unclaimed_readings import WaitingCode, waiting_codes
from staff.units import clock, count

NAMED_CODES = 6


def waiting_line(*, at: datetime, sites: Sequence[SiteMorning]) -> str:
    """Return which readings wait for somebody to say whose they are; one query.

    Args:
        at: now.
        sites: nobody knows at which of them a probe hangs that nobody knows, so its
            times are those of UTC where their clocks differ.

    Returns:
        A sentence, or "" where none wait.
    """
    waiting = waiting_codes()
    if not waiting:
        return ""
    zones = {morning.site.time_zone for morning in sites}
    zone = ZoneInfo(zones.pop()) if len(zones) == 1 else ZoneInfo("UTC")
    told = [_told(one, at, zone) for one in waiting[:NAMED_CODES]]
    rest = len(waiting) - len(told)
    more = [f"{rest} more"] if rest else []
    return (
        f"Readings of {count(len(waiting), 'unknown probe')} "
        f"wait: {'; '.join([*told, *more])}."
    )


def _told(one: WaitingCode, at: datetime, zone: ZoneInfo) -> str:
    since = one.since_at.astimezone(zone)
    utc = " UTC" if zone.key == "UTC" else ""
    today = since.date() == at.astimezone(zone).date()
    when = f"{since:%H:%M}" if today else clock(one.since_at, zone)
    return f"{one.code}, {count(one.readings, 'reading')} since {when}{utc}"
