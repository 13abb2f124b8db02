"""What a calendar shows of breeding at all sites."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, OuterRef, Subquery

from clutches.models import Egg, EggPlace, Forecast
from clutches.queries.forecasts import open_forecasts
from clutches.queries.layings import breeding_females
from clutches.queries.sexing import second_look_asked, unsettled_animals
from clutches.rules.breeding_events import (
    EggsAhead,
    LayingAhead,
    LookAhead,
    breeding_events,
)
from clutches.rules.eggs.stages import candle_from
from clutches.rules.layings.matters import span_of
from clutches.rules.layings.windows import expected_laying, next_clutch
from clutches.rules.sexing.assessing import looks_of
from clutches.rules.sexing.looks import settle
from clutches.rules.vocabulary import EggState
from core.events import Event
from core.models import Site
from husbandry.models import Enclosure
from husbandry.queries.policies import site_profiles
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter

OPEN = (EggState.INCUBATING.value, EggState.PIPPED.value)


def breeding_calendar(*, at: datetime) -> tuple[Event, ...]:
    """Return what is ahead in breeding as entries of a calendar.

    Laying windows, from when on a clutch is candled, hatch windows (the newest
    forecast, else the care profile's window) and second looks at heels.

    Args:
        at: now; days are those of each site.

    Returns:
        The entries of each site after those of the one before. The number of queries
        depends on the number of sites only.
    """
    forecasts: dict[int, list[Forecast]] = defaultdict(list)
    for forecast in open_forecasts():
        forecasts[forecast.clutch_id].append(forecast)
    events: list[Event] = []
    for site in Site.objects.order_by("code"):
        on = at.astimezone(ZoneInfo(site.time_zone)).date()
        events += breeding_events(
            _layings(site, on), _eggs(site, on, forecasts), _looks(site, on), on=on
        )
    return tuple(events)


def _looks(site: Site, on: date) -> list[LookAhead]:
    """Return the hatchlings at a site whose looks leave something open."""
    second_look = second_look_asked(on=on)
    return [
        LookAhead(animal.id, animal.label)
        for animal in unsettled_animals(site=site, on=on)
        if settle(looks_of(animal.looks), second_look=second_look).why is not None
    ]


def _layings(site: Site, on: date) -> list[LayingAhead]:
    females = breeding_females(site=site, on=on)
    profiles = _profiles(site, {female.species for female in females}, on)
    homes = [female.enclosure for female in females if female.enclosure is not None]
    rows = Enclosure.objects.filter(pk__in=homes).select_related("room")
    places = {row.pk: f"{row.room.name}, {row.code}" for row in rows}
    return [
        LayingAhead(
            animal=female.id,
            label=female.label,
            place=places.get(female.enclosure or 0, ""),
            expected=expected_laying(female, profiles.get(female.species), on=on),
            next_clutch=next_clutch(
                female.layings, profiles.get(female.species), on=on
            ),
        )
        for female in females
    ]


def _eggs(
    site: Site, on: date, forecasts: Mapping[int, list[Forecast]]
) -> list[EggsAhead]:
    """Return the eggs of a site's clutches that are still to hatch, by box."""
    lying = EggPlace.objects.filter(egg=OuterRef("pk"), until_at__isnull=True)
    rows = (
        Egg.objects.filter(clutch__site=site, state__in=OPEN)
        .annotate(box=Subquery(lying.values("box__code")[:1]))
        .order_by("clutch__code", "box")
        .values_list(
            *("clutch_id", "clutch__code", "clutch__species_id", "clutch__laid_on"),
            "box",
        )
        .annotate(eggs=Count("pk"))
    )
    found = list(rows)
    profiles = _profiles(site, {species for _, _, species, *_ in found}, on)
    ahead = []
    for clutch, code, species, laid_on, box, eggs in found:
        profile = profiles.get(species)
        forecast = next(
            (f for f in forecasts.get(clutch, ()) if f.box.code == box), None
        )
        earliest_on, latest_on = _window(profile, laid_on)
        ahead.append(
            EggsAhead(
                clutch=clutch,
                clutch_code=code,
                box=box or "",
                eggs=eggs,
                earliest_on=forecast.earliest_on if forecast else earliest_on,
                likely_on=forecast.likely_on if forecast else None,
                latest_on=forecast.latest_on if forecast else latest_on,
                candle_from=candle_from(profile, laid_on=laid_on),
            )
        )
    return ahead


def _window(profile: Profile | None, laid_on: date) -> tuple[date | None, date | None]:
    days = span_of(profile, IncubationMatter.HATCH_DAYS)
    if days is None or days.low is None or days.high is None:
        return None, None
    return laid_on + timedelta(days=days.low), laid_on + timedelta(days=days.high)


def _profiles(site: Site, species: set[int], on: date) -> dict[int, Profile]:
    found = site_profiles(site=site, species_ids=species, on=on)
    return {key: version.profile for key, version in found.items()}
