"""What turns day into night over each enclosure, now and before."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from core.models import Site
from husbandry.models import Setup
from husbandry.queries.care_span import CareSpan
from husbandry.rules.light import day_length_h, sun_times
from husbandry.rules.vocabulary import Misting


@dataclass(frozen=True, slots=True)
class Standing:
    """How an enclosure stands from a day on; no times: the sun makes its day."""

    from_on: date
    lights_on: time | None
    lights_off: time | None
    misting: Misting
    laying_bin: bool


class Sun:
    """The sun over a site, each day worked out once."""

    def __init__(self, site: Site, span: CareSpan) -> None:
        self._site, self._span = site, span
        self._hours: dict[date, float] = {}

    def hours(self, from_on: date, until_on: date) -> float:
        """Return for how long it is up from one day to another, the last left out."""
        days = range((until_on - from_on).days)
        return sum(self._hours_on(from_on + timedelta(n)) for n in days)

    def _hours_on(self, on: date) -> float:
        if on not in self._hours:
            latitude_deg = self._site.latitude_deg
            self._hours[on] = day_length_h(latitude_deg=latitude_deg, on=on)
        return self._hours[on]

    def clock_times(self) -> tuple[time, time]:
        """Return when it rises and sets on the last day, by the local clock."""
        span = self._span
        rises_s, sets_s = sun_times(
            latitude_deg=self._site.latitude_deg,
            longitude_deg=self._site.longitude_deg,
            on=span.until_on,
            zone=span.zone,
        )
        last_s = int(span.end_at.timestamp()) - 1
        return self._clock(rises_s), self._clock(min(sets_s, last_s))

    def _clock(self, at_s: int) -> time:
        local = datetime.fromtimestamp(at_s, UTC).astimezone(self._span.zone)
        return local.time()


def standings_of(*, site: Site, span: CareSpan) -> dict[int, list[Standing]]:
    """Return how each enclosure of a site stood, oldest first; one query.

    Args:
        site: where.
        span: set-ups that began after its last day are left out.
    """
    found: dict[int, list[Standing]] = defaultdict(list)
    rows = Setup.objects.filter(
        enclosure__room__site=site, from_on__lte=span.until_on
    ).order_by("enclosure_id", "from_on")
    for pk, from_on, lights_on, lights_off, misting, laying_bin in rows.values_list(
        *("enclosure_id", "from_on", "lights_on", "lights_off", "misting", "laying_bin")
    ):
        found[pk].append(
            Standing(from_on, lights_on, lights_off, Misting(misting), laying_bin)
        )
    return found
