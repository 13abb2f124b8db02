"""What a calendar shows of the care of all sites."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from core.events import Event
from core.models import Site
from husbandry.queries.care import care_facts
from husbandry.rules.care.due import standing_tasks, tasks_due
from husbandry.rules.care_events import DAYS_AHEAD, DAYS_BACK, care_events


def care_calendar(*, at: datetime) -> tuple[Event, ...]:
    """Return the care of the last 7 days and of the next 28 as entries of a calendar.

    Args:
        at: now; days are those of each site.

    Returns:
        The entries of each site after those of the one before. The number of
        queries depends on the number of sites only.
    """
    events: list[Event] = []
    for site in Site.objects.order_by("code"):
        on = at.astimezone(ZoneInfo(site.time_zone)).date()
        first_on, last_on = (
            on - timedelta(days=DAYS_BACK),
            on + timedelta(days=DAYS_AHEAD),
        )
        facts = care_facts(site=site, from_on=first_on, until_on=last_on)
        tasks = (
            *standing_tasks(facts, on=on),
            *tasks_due(facts, from_on=first_on, until_on=last_on, asked_on=on),
        )
        events += care_events(facts, tasks, on=on)
    return tuple(events)
