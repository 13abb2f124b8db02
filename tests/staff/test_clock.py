"""Lists of the back office show the clock of the site, where there is one."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from husbandry.models import Weighing
from tests.factories import AnimalFactory, SiteFactory, WeighingFactory
from tests.staff.record_forms import errors, text, url

pytestmark = pytest.mark.django_db
PLACE = url("husbandry.weighing", "")
# Nepal keeps UTC+5:45 the year round (IANA time zone database, Asia/Kathmandu).
NEPAL = ZoneInfo("Asia/Kathmandu")


@pytest.fixture
def weighed() -> Weighing:
    return WeighingFactory.create(at=datetime(2026, 3, 1, 9, tzinfo=UTC))


def test_one_site_shows_its_own_clock(weighed: Weighing, owner: Client) -> None:
    SiteFactory.create(time_zone=NEPAL.key)

    shown = text(owner.get(PLACE))

    assert "1 Mar 2026, 2:45 p.m." in shown
    assert "Times in lists and forms are by the clock of Asia/Kathmandu." in shown
    assert timezone.get_current_timezone_name() == "UTC"


@pytest.mark.parametrize("sites", [0, 2])
def test_without_exactly_one_site_lists_are_utc(
    sites: int, weighed: Weighing, owner: Client
) -> None:
    for _ in range(sites):
        SiteFactory.create(time_zone=NEPAL.key)

    shown = text(owner.get(PLACE))

    assert "1 Mar 2026, 9 a.m." in shown
    assert "Times in lists are UTC; forms take the clock of the site." in shown


def test_what_is_typed_is_what_the_list_shows(owner: Client) -> None:
    SiteFactory.create(time_zone=NEPAL.key)
    typed = {"animal": AnimalFactory.create().pk, "mass_g": "104"}
    typed |= {"weighed_at_0": "2026-03-01", "weighed_at_1": "14:45"}

    answer = owner.post(url("husbandry.weighing"), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    assert Weighing.objects.get().at == datetime(2026, 3, 1, 9, tzinfo=UTC)
    assert "1 Mar 2026, 2:45 p.m." in text(owner.get(PLACE))


def test_an_hour_that_came_twice_is_the_first_of_them(owner: Client) -> None:
    # Lisbon went back from UTC+1 to UTC at 02:00 on 26 October 2025; 01:30 was twice.
    SiteFactory.create(time_zone="Europe/Lisbon")
    animal = AnimalFactory.create(arrived_on=datetime(2025, 1, 1, tzinfo=UTC).date())
    typed = {"animal": animal.pk, "mass_g": "104"}
    typed |= {"weighed_at_0": "2025-10-26", "weighed_at_1": "01:30"}

    answer = owner.post(url("husbandry.weighing"), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    assert Weighing.objects.get().at == datetime(2025, 10, 26, 0, 30, tzinfo=UTC)
