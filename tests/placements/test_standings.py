"""Which placements wait for something, with real rows."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from placements.queries.standings import (
    open_placements,
    placement_states,
    standings,
)
from placements.rules.vocabulary import Gate
from tests import factories

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 20)
EARLY = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)


def foster(**said: Any) -> Any:
    said = {"kind": "foster", "due_back_on": ON, "handed_over": True} | said
    animal = factories.AnimalFactory.create(left=True)
    return factories.PlacementFactory.create(animal=animal, created_at=EARLY, **said)


def test_what_is_to_be_done_next_comes_first() -> None:
    later = factories.PlacementFactory.create(planned_on=date(2026, 3, 25))
    stay = foster()
    factories.PlacementFactory.create(handed_over=True)
    factories.PlacementFactory.create(state="called_off")
    factories.PlacementFactory.create(
        kind="loan",
        handed_over=True,
        due_back_on=ON,
        state="came_back",
        ended_on=ON,
    )
    soon = factories.PlacementFactory.create(planned_on=date(2026, 3, 21))

    found = standings(open_placements(), today=ON)

    assert [one.placement for one in found] == [stay.pk, soon.pk, later.pk]
    assert [one.in_care for one in found] == [False, True, True]
    assert Gate.PACKET_MADE in [result.gate for result in found[1].shut]
    assert found[0].gates == ()


def test_placements_belong_to_the_site_where_the_animal_lived_last() -> None:
    first, second = factories.SiteFactory.create_batch(2)
    stay = factories.StayFactory.create(enclosure__room__site=second)
    there = factories.PlacementFactory.create(animal=stay.animal, created_at=EARLY)
    nowhere = factories.PlacementFactory.create(created_at=EARLY)

    assert [one.placement for one in placement_states(site=first, on=ON)] == [
        nowhere.pk
    ]
    assert [one.placement for one in placement_states(site=second, on=ON)] == [there.pk]


def test_a_past_night_is_told_as_it_was() -> None:
    site = factories.SiteFactory.create()
    ended = foster(state="came_back", ended_on=date(2026, 3, 18))
    factories.PlacementFactory.create(created_at=datetime(2026, 3, 19, tzinfo=UTC))

    def told(on: date) -> list[int]:
        return [one.placement for one in placement_states(site=site, on=on)]

    assert told(date(2026, 3, 1)) == []
    assert told(date(2026, 3, 17)) == [ended.pk]
    assert told(date(2026, 3, 18)) == []


@pytest.mark.parametrize("count", [1, 3])
def test_the_number_of_queries_does_not_grow(
    count: int, django_assert_num_queries: Any
) -> None:
    site = factories.SiteFactory.create()
    for n in range(count):
        factories.PlacementFactory.create(planned_on=date(2026, 3, 20 + n))
        foster()

    with django_assert_num_queries(17):
        assert len(placement_states(site=site, on=ON)) == 2 * count
