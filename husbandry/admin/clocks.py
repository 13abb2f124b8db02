"""Which clock on the wall a time was read from."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from core.models import Site
from husbandry.models import Animal
from husbandry.queries.stays import site_of


def clock_of(animal: Animal, at: datetime) -> ZoneInfo:
    """Return the zone of the site where it was; without one, the back office's."""
    return clock_at(site_of(animal=animal, at=at))


def clock_at(site: Site | None) -> ZoneInfo:
    """Return the zone of a site; without one, the back office's."""
    return ZoneInfo(site.time_zone if site else str(timezone.get_current_timezone()))
