"""One animal: who it is, what it needs on whose word, how it fared."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from husbandry.actions.review import review_night
from tests.factories import (
    AnimalFactory,
    SpeciesFactory,
    StayFactory,
    TargetOverrideFactory,
    UserFactory,
    WeighingFactory,
)
from tests.nightly.world import MORNING, ON, World, record_good_day
from tests.staff.conftest import client_of
from tests.staff.samples import overdue

pytestmark = pytest.mark.django_db


def _text(client: Client, pk: int) -> str:
    answer = client.get(f"/animals/{pk}/")
    assert answer.status_code == 200
    return answer.content.decode().replace("\u00a0", " ")


def test_every_value_stands_on_somebodys_word(world: World, keeper: Client) -> None:
    text = _text(keeper, world.animal.pk)

    # As the shipped profile says of an adult male's basking spot.
    assert "Temperature at the basking spot, by day" in text
    assert "28.3–30.6 °C; act at once above 35.0 °C. 1 h outside tolerated." in text
    assert "Common practice among careful keepers" in text
    assert "Others say: " in text
    assert "male, by heel spur (confirmed)" in text


def test_what_was_agreed_for_it_wins_and_says_so(world: World, keeper: Client) -> None:
    today = timezone.localdate()
    TargetOverrideFactory.create(
        animal=world.animal,
        low=Decimal("15.5"),
        from_on=today - timedelta(days=1),
        until_on=today + timedelta(days=9),
    )

    text = _text(keeper, world.animal.pk)

    assert "15.5–22.0 °C" in text
    assert "Agreed for this animal." in text
    assert "on the vet&#x27;s word" in text


def test_the_last_night_stands_beside_what_was_wanted(
    world: World, keeper: Client
) -> None:
    record_good_day(world, ON)
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    text = _text(keeper, world.animal.pk)

    assert "Conditions on Sun 1 Mar 2026" in text
    assert (
        '<td data-head="Wanted">30–50 %</td><td data-head="Mean">40 %</td>'
        '<td data-head="Extremes">40 % to 40 %</td><td data-head="Outside">0 min</td>'
    ) in text
    assert "No finding is open as of Sun 1 Mar 2026" in text


def test_without_data_the_page_does_not_claim_health(
    world: World, keeper: Client
) -> None:
    text = _text(keeper, world.animal.pk)

    assert "How it fared is not known" in text
    assert "No finding is open, but no night was reviewed" in text


def test_silence_is_not_zero_minutes_outside(world: World, keeper: Client) -> None:
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    text = _text(keeper, world.animal.pk)

    assert 'head="Outside">not known</td><td data-head="Measured">0 %</td>' in text
    assert "0 min</td>" not in text


def test_an_animal_without_profile_age_or_place_is_told_so(keeper: Client) -> None:
    animal = AnimalFactory.create(
        species=SpeciesFactory.create(code="unheard_of", common_name="Unheard of"),
        hatched_on=None,
        hatched_precision="unknown",
        sex="unknown",
        sex_basis="not_sexed",
        sex_confidence="uncertain",
    )

    text = _text(keeper, animal.pk)

    assert "no enclosure on record" in text
    assert "Its species has no care profile" in text
    assert "Never weighed." in text


def test_open_findings_are_linked(world: World, keeper: Client) -> None:
    row = overdue(world.site, animal=world.animal, opened_on=ON, last_seen_on=ON)

    assert f'href="/findings/{row.pk}/"' in _text(keeper, world.animal.pk)


def test_weights_are_told_in_the_readers_unit(world: World) -> None:
    reader = UserFactory.create(mass_unit="oz")

    # 140 g by 28.349523125 g an ounce (NIST SP 811) are 4.938 oz.
    assert "4.94 oz on Sun 1 Mar 2026" in _text(client_of(reader), world.animal.pk)


def test_all_animals_in_care_are_listed(world: World, keeper: Client) -> None:
    gone = AnimalFactory.create(name="Gone", left=True)
    nowhere = AnimalFactory.create(name="Nowhere")

    text = keeper.get("/animals/").content.decode()

    assert f'href="/animals/{world.animal.pk}/"' in text
    assert "140.0 g on 1 Mar 2026" in text
    assert f'href="/animals/{nowhere.pk}/"' in text
    assert f'href="/animals/{gone.pk}/"' not in text


def test_an_empty_house_says_what_to_do(keeper: Client) -> None:
    text = keeper.get("/animals/").content.decode()

    assert "No animal is in care" in text
    assert '<a href="/admin/">back office</a>' in text


def test_the_list_takes_the_same_queries_for_many(world: World, keeper: Client) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as caught:
            keeper.get("/animals/")
        return len(caught)

    one = count()
    for _ in range(5):
        stay = StayFactory.create()
        WeighingFactory.create(animal=stay.animal)

    assert count() == one
