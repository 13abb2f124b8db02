"""From which night on a site is reviewed."""

from datetime import UTC, date, datetime

import pytest

from husbandry.queries.first_nights import first_nights
from husbandry.rules.vocabulary import EnclosureKind
from tests.factories import EnclosureFactory, ProbeFactory, SiteFactory, StayFactory

pytestmark = pytest.mark.django_db
INCUBATOR = EnclosureKind.INCUBATOR.value


def test_the_day_on_which_the_first_animal_came() -> None:
    here = SiteFactory(time_zone="Pacific/Auckland")
    StayFactory(
        enclosure__room__site=here, from_at=datetime(2026, 1, 1, 23, tzinfo=UTC)
    )
    StayFactory(enclosure__room__site=here)
    ProbeFactory(enclosure__room__site=here, from_on=date(2020, 1, 1))

    assert first_nights(sites=[here]) == {here.pk: date(2025, 1, 1)}


def test_eggs_are_watched_where_no_animal_lives() -> None:
    here, empty = SiteFactory(), SiteFactory(code="other")
    incubator = EnclosureFactory(room__site=here, kind=INCUBATOR)
    ProbeFactory(enclosure=incubator, from_on=date(2026, 2, 3))

    assert first_nights(sites=[here, empty]) == {here.pk: date(2026, 2, 3)}


def test_whichever_was_first() -> None:
    here = SiteFactory()
    StayFactory(enclosure__room__site=here)
    incubator = EnclosureFactory(room__site=here, kind=INCUBATOR)
    ProbeFactory(enclosure=incubator, from_on=date(2024, 12, 31))

    assert first_nights(sites=[here]) == {here.pk: date(2024, 12, 31)}
