"""A real browser over a home's enclosure, its private page and what comes after."""

from datetime import timedelta
from math import sin

import pytest
from django.utils import timezone

from placements.actions.private_addresses import give_address
from placements.models import HomeEnclosure, HomeReading, Placement
from tests.factories import (
    FollowUpFactory,
    HomeEnclosureFactory,
    HomeReportFactory,
    PlacementFactory,
)

# The fixtures of the other browser tests, under the names that pytest looks for.
from tests.staff.test_browser import Visit, browser, visit, world

__all__ = ["browser", "visit", "world"]


def _lived_in(placement: Placement) -> HomeEnclosure:
    enclosure = HomeEnclosureFactory(
        home=placement.home, time_zone="UTC", sees_others=False, height_cm=100
    )
    now = timezone.now().replace(second=0, microsecond=0)
    HomeReading.objects.bulk_create(
        HomeReading(
            enclosure=enclosure,
            zone="basking",
            quantity="temperature_c",
            at=now - timedelta(minutes=10 * n),
            value_milli=round(23_000 + 6_000 * sin(n / 23)),
            recorded_at=now,
        )
        for n in range(5 * 144)
    )
    return enclosure


@pytest.mark.parametrize(
    "visit", [("phone", "dark"), ("desk", "light")], indirect=True, ids=str
)
def test_staff_read_how_a_home_compares_and_what_it_told(visit: Visit) -> None:
    placement = PlacementFactory(handed_over=True)
    enclosure = _lived_in(placement)
    FollowUpFactory(placement=placement)
    HomeReportFactory(placement=placement, kind="health", note="It sits low.")
    visit.sign_in()

    visit.open(f"/homes/enclosures/{enclosure.pk}/")
    assert visit.picture("naturalWidth") in {350, 720}
    visit.check()
    visit.page.get_by_text("Describe it anew").click()
    visit.page.get_by_label("Height inside").fill("tall")
    visit.page.get_by_role("button", name="Keep it").last.click()
    visit.page.get_by_text("“tall” is no number.").wait_for()
    visit.wrong.clear()  # a browser notes that a form was refused
    for path in ("/after/", f"/after/{placement.pk}/"):
        visit.open(path)
        visit.check()


@pytest.mark.parametrize(
    "visit", [("phone", "light"), ("desk", "dark")], indirect=True, ids=str
)
def test_a_home_makes_ready_and_tells(visit: Visit) -> None:
    placement = PlacementFactory(handed_over=True)
    enclosure = _lived_in(placement)
    FollowUpFactory(placement=placement)
    _, secret = give_address(placement=placement, by=None, at=timezone.now())

    visit.open(f"/home/{secret}/")
    visit.check()
    visit.page.get_by_label("How is the animal doing?").select_option("worried")
    visit.page.get_by_role("button", name="Send it").first.click()
    visit.page.get_by_text("Thank you. It is kept").wait_for()
    visit.page.get_by_text("Hand in a logger's file").click()
    on = timezone.localdate() - timedelta(days=1)
    rows = "".join(f"{on} {hour:02}:00;21.5\n" for hour in range(20))
    visit.page.get_by_label("The logger's file").set_input_files(
        {
            "name": "log.csv",
            "mimeType": "text/csv",
            "buffer": f"Time;Temperature (C)\n{rows}".encode(),
        }
    )
    visit.page.get_by_label("Where it hung").select_option("ambient")
    visit.page.get_by_role("button", name="Take it in").click()
    visit.page.get_by_text("Kept: 20 values.").wait_for()
    visit.check()

    assert enclosure.readings.filter(zone="ambient").count() == 20
    assert placement.reports.get().kind == "health"
