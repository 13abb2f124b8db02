"""What a calendar shows of breeding."""

from datetime import date, timedelta
from typing import Any

import pytest

from clutches.models import Clutch
from clutches.queries.calendars import breeding_calendar
from core.events import AllDay
from core.models import Site
from tests.factories import (
    NOW,
    TODAY,
    CareProfileFactory,
    ClutchFactory,
    EggBoxFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
    ForecastFactory,
    IntroductionFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
)
from tests.husbandry.care_lists import queries_of

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def site() -> Site:
    CareProfileFactory.create()
    made: Site = SiteFactory.create(code="mill")
    return made


def shown() -> dict[str, AllDay]:
    return {
        event.summary: event.when
        for event in breeding_calendar(at=NOW)
        if isinstance(event.when, AllDay)
    }


def mate(site: Site, **dam: str) -> None:
    met = IntroductionFactory.create(
        at=NOW, **{f"pairing__dam__{name}": value for name, value in dam.items()}
    )
    home = EnclosureFactory.create(room=RoomFactory.create(site=site))
    StayFactory.create(animal=met.pairing.dam, enclosure=home)


def laid(site: Site, **given: Any) -> Clutch:
    """Return a clutch of an unknown female."""
    made: Clutch = ClutchFactory.create(
        site=site, dam=None, species=SpeciesFactory.create(), **given
    )
    return made


def test_a_mated_female_has_her_window(site: Site) -> None:
    mate(site, code="V-1", name="Juno")

    ((summary, when),) = shown().items()

    assert summary.startswith("V-1 Juno may lay (mated, last")
    # 20 to 35 days after 2 March (zoo profile 2014, Kramer DVM).
    assert when == AllDay(date(2026, 3, 22), date(2026, 4, 6))


def test_eggs_have_their_newest_forecast_else_the_profiles_window(site: Site) -> None:
    clutch = laid(site, code="C-1", laid_on=TODAY)
    box = EggBoxFactory.create(code="B-2")
    EggPlaceFactory.create(egg=EggFactory.create(clutch=clutch), box=box)
    EggFactory.create(clutch=clutch)
    gone = EggFactory.create(
        clutch=clutch, state="failed", cause="mould", ended_on=TODAY
    )
    assert gone.state == "failed"
    ForecastFactory.create(clutch=clutch, box=box, on=TODAY - 2 * DAY)
    newest = ForecastFactory.create(
        clutch=clutch,
        box=box,
        on=TODAY - DAY,
        earliest_on=date(2026, 8, 1),
        likely_on=date(2026, 8, 9),
        latest_on=date(2026, 8, 30),
    )

    assert shown() == {
        "C-1 in box B-2: 1 egg may hatch (most likely about 9 Aug 2026)": AllDay(
            newest.earliest_on, newest.latest_on
        ),
        # 180 to 275 days (Long 2008, six to nine months).
        "C-1: 1 egg may hatch (by the care profile's window alone)": AllDay(
            TODAY + 180 * DAY, TODAY + 275 * DAY
        ),
        "Candle C-1": AllDay(TODAY + 90 * DAY, TODAY + 90 * DAY),
    }


def test_of_a_species_without_a_profile_nothing_is_said(site: Site) -> None:
    unknown = SpeciesFactory.create(code="unknown")
    clutch = ClutchFactory.create(site=site, dam=None, species=unknown)
    EggFactory.create(clutch=clutch)

    assert shown() == {}


def test_what_has_hatched_is_not_ahead(site: Site) -> None:
    EggFactory.create(clutch=laid(site), state="hatched", ended_on=TODAY)

    assert shown() == {}


def test_each_key_is_there_once(site: Site) -> None:
    for n in range(3):
        mate(site, code=f"V-{n}")
        EggFactory.create(clutch=laid(site))

    keys = [event.key for event in breeding_calendar(at=NOW)]

    assert len(set(keys)) == len(keys) == 9


def test_many_entries_take_as_many_queries_as_one(site: Site) -> None:
    def more(number: int) -> int:
        for _ in range(number):
            mate(site)
            EggFactory.create(clutch=laid(site))
        return queries_of(lambda: breeding_calendar(at=NOW))

    assert more(1) == more(4)
