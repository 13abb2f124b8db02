"""The small pictures: gaps stay open, bands are those of the night, units are chosen."""

from datetime import time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from core.charts import strokes
from core.zones import instant
from husbandry.actions.review import review_night
from husbandry.models import Finding, Reading
from husbandry.rules.vocabulary import FindingKind
from staff.charting import DIM
from tests.factories import SetupFactory, UserFactory
from tests.nightly.world import (
    MORNING,
    ON,
    World,
    ambient,
    record,
    record_good_day,
    weigh,
    wobble,
)
from tests.staff.conftest import client_of
from tests.staff.samples import overdue

pytestmark = pytest.mark.django_db


@pytest.fixture
def cold(world: World) -> Finding:
    record(world.ambient, ON, ambient)
    record(world.basking, ON, lambda day, step: (22.0 + wobble(step), None, 3.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    return Finding.objects.get()


def _svg(client: Client, row: Finding, query: str = "") -> str:
    answer = client.get(f"/findings/{row.pk}/chart.svg{query}")
    assert (answer.status_code, answer.headers["Content-Type"]) == (
        200,
        "image/svg+xml",
    )
    return answer.content.decode()


def test_the_picture_shows_band_night_spell_and_readings(
    cold: Finding, keeper: Client
) -> None:
    text = _svg(keeper, cold)

    assert "Temperature at the basking spot on 1 Mar 2026" in text
    assert text.count('class="chart-night"') == 2
    assert text.count('class="chart-line"') == 1
    # Wanted by day only: nothing is said of the basking spot by night.
    assert text.count('class="chart-wanted"') == 1
    assert ">12 h</text>" in text
    assert "style=" not in text


def test_a_gap_is_never_joined(world: World, cold: Finding, keeper: Client) -> None:
    zone = ZoneInfo(world.site.time_zone)
    hours = [instant(ON, time(hour), zone=zone) for hour in (10, 13)]
    Reading.objects.filter(
        probe=world.basking, at__gte=hours[0], at__lt=hours[1]
    ).delete()

    assert _svg(keeper, cold).count('class="chart-line"') == 2


def test_what_cannot_be_true_is_left_out(
    world: World, cold: Finding, keeper: Client
) -> None:
    zone = ZoneInfo(world.site.time_zone)
    at = instant(ON, time(12), zone=zone)
    Reading.objects.filter(probe=world.basking, at=at).update(
        temperature_milli_c=-127_000
    )

    text = _svg(keeper, cold)

    assert "−127" not in text
    assert text.count('class="chart-line"') == 2


def test_the_picture_speaks_the_readers_units(cold: Finding) -> None:
    reader = UserFactory.create(temperature_unit="F")

    text = _svg(client_of(reader), cold)

    # 28.3 °C to 30.6 °C are wanted, 22.0 °C to 22.4 °C were: 72 to 87 °F.
    assert ">°F</text>" in text
    assert ">70</text>" in text
    assert ">90</text>" in text


def test_for_a_dim_room_the_colours_change_and_nothing_else(
    cold: Finding, keeper: Client
) -> None:
    bright, dim = _svg(keeper, cold), _svg(keeper, cold, "?light=dim")

    assert strokes.INK in bright
    assert strokes.INK not in dim
    for light, dark in DIM.items():
        bright = bright.replace(light, dark)
    assert bright == dim


def test_for_a_phone_the_picture_is_narrow(cold: Finding, keeper: Client) -> None:
    assert 'viewBox="0 0 350 220"' in _svg(keeper, cold, "?size=narrow")


def test_a_new_set_up_does_not_move_an_old_night(
    world: World, cold: Finding, keeper: Client
) -> None:
    before = _svg(keeper, cold)
    SetupFactory.create(
        enclosure=world.enclosure, from_on=ON + timedelta(days=1), lights_on=time(9)
    )

    assert _svg(keeper, cold) == before


def test_natural_light_makes_the_night(
    world: World, cold: Finding, keeper: Client
) -> None:
    before = _svg(keeper, cold)
    world.enclosure.setups.all().delete()
    SetupFactory.create(enclosure=world.enclosure, natural=True)

    assert _svg(keeper, cold) != before


def test_a_silent_probe_is_pictured_by_its_gap(world: World, keeper: Client) -> None:
    record(world.basking, ON, lambda day, step: (29.4 + wobble(step), None, 3.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    row = Finding.objects.get(kind="no_data")

    text = _svg(keeper, row)

    assert "No reading came in." in text
    assert text.count('class="chart-wanted"') == 3


def test_lost_weight_is_pictured_by_the_weighings(world: World, keeper: Client) -> None:
    weigh(world.animal, ON - timedelta(days=10), "170")
    record_good_day(world, ON)
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    row = Finding.objects.get(kind="weight_loss")

    text = _svg(keeper, row)

    assert text.count('class="chart-dot"') == 2
    assert "the last 140.0 g on 1 Mar 2026" in text


def test_what_has_no_picture_is_not_found(world: World, keeper: Client) -> None:
    row = overdue(world.site, opened_on=ON, last_seen_on=ON)
    lost = overdue(world.site, kind=FindingKind.NO_DATA.value, opened_on=ON)

    for finding in (row, lost):
        assert keeper.get(f"/findings/{finding.pk}/chart.svg").status_code == 404


def test_weights_of_an_animal_are_pictured_with_what_is_plausible(
    world: World, keeper: Client
) -> None:
    answer = keeper.get(f"/animals/{world.animal.pk}/weights.svg")

    text = answer.content.decode()
    assert text.count('class="chart-plausible"') == 1
    assert ">plausible masses, not a target</text>" in text
    # A band that looks like a target would say that all is well.
    assert 'class="chart-wanted"' not in text
    assert keeper.get("/animals/999999/weights.svg").status_code == 404


def test_a_picture_takes_few_queries(cold: Finding, keeper: Client) -> None:
    with CaptureQueriesContext(connection) as caught:
        _svg(keeper, cold)

    # Session, user, finding, acknowledgements, band, bands, readings, set-up.
    assert len(caught) == 8
