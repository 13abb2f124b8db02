"""The page of rounds, and the sheet that it gives."""

from datetime import timedelta
from io import BytesIO
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from core import printing
from core.models import User
from staff.units import weekday
from tests.factories import RoomFactory, SiteFactory
from tests.nightly.world import World
from tests.staff.record_forms import text

pytestmark = pytest.mark.django_db


def test_rooms_are_listed_in_walking_order_with_todays_sheet(
    keeper: Client, world: World
) -> None:
    sick = RoomFactory.create(
        site=world.site, name="Sick bay", position=0, quarantine=True
    )
    today = timezone.now().astimezone(ZoneInfo(world.site.time_zone)).date()

    answer = keeper.get("/rounds/")

    page = answer.content.decode()
    assert weekday(today) in page
    assert page.index("Adults") < page.index("Sick bay")
    assert "quarantine: last, with its own tools" in page
    for room in (world.room, sick):
        assert f'href="/rounds/{room.pk}/{today}.pdf"' in page


def test_where_nothing_is_it_says_what_to_do(keeper: Client) -> None:
    assert "There is no site yet" in text(keeper.get("/rounds/"))

    SiteFactory.create(name="Willow Bend")

    assert "This site has no room yet" in text(keeper.get("/rounds/"))


def test_a_sheet_is_given_as_a_file(keeper: Client, world: World) -> None:
    answer = keeper.get(f"/rounds/{world.room.pk}/2026-03-02.pdf")

    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == (
        f'inline; filename="round-{world.site.code}-{world.room.code}-2026-03-02.pdf"'
    )
    told = " ".join(p.extract_text() for p in PdfReader(BytesIO(answer.content)).pages)
    assert "140.0 g" in told


def test_masses_are_in_the_units_of_the_reader(keeper: Client, world: World) -> None:
    User.objects.update(mass_unit="oz")

    answer = keeper.get(f"/rounds/{world.room.pk}/2026-03-02.pdf")

    told = " ".join(p.extract_text() for p in PdfReader(BytesIO(answer.content)).pages)
    # 140 g / 28.349523125 g (the avoirdupois ounce, exact) = 4.94 oz.
    assert "4.94 oz" in told


@pytest.mark.parametrize(
    "on", ["2026-02-30", "today", "1969-12-31", "2200-01-01", "20260302x"]
)
def test_what_is_no_day_is_not_found(keeper: Client, world: World, on: str) -> None:
    assert keeper.get(f"/rounds/{world.room.pk}/{on}.pdf").status_code == 404


def test_a_room_that_is_none_is_not_found(keeper: Client) -> None:
    assert keeper.get("/rounds/7777/2026-03-02.pdf").status_code == 404


def test_a_system_that_cannot_draw_says_what_to_install(
    keeper: Client, world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printing, "LIBRARIES", ("libnowhere-1.0.so.0",))

    answer = keeper.get(f"/rounds/{world.room.pk}/2026-03-02.pdf")

    assert answer.status_code == 503
    assert "libnowhere-1.0.so.0 is missing. On Debian run: apt-get" in text(answer)


def test_days_to_come_have_sheets_too(keeper: Client, world: World) -> None:
    ahead = timezone.now().date() + timedelta(days=3)

    assert keeper.get(f"/rounds/{world.room.pk}/{ahead}.pdf").status_code == 200
