"""Which eggs lay where at the end of a past day, whatever became of them since."""

from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from clutches.actions.boxes import move_box
from clutches.actions.eggs import EggChange, move_eggs, set_eggs
from clutches.models import BoxStay, EggPlace
from clutches.queries.eggs import clutches_at, egg_groups, unplaced_eggs
from clutches.rules.facts import EggGroup
from clutches.rules.vocabulary import EggState, FailureCause
from core.zones import day_bounds
from tests.clutches.nest import DAY, HOUR, LAID, Nest, make_nest
from tests.factories import (
    NOW,
    TODAY,
    BoxCheckFactory,
    ClutchFactory,
    EggBoxFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
)
from tests.husbandry.care_lists import queries_of

pytestmark = pytest.mark.django_db
PIPPED, HATCHED, FAILED = EggState.PIPPED, EggState.HATCHED, EggState.FAILED


def end(nest: Nest, on: date) -> dict[str, Any]:
    """Return what a query of a night asks: the site, and the end of its local day."""
    zone = ZoneInfo(nest.site.time_zone)
    at = datetime.fromtimestamp(day_bounds(on, zone=zone)[1], UTC)
    return {"site": nest.site, "at": at}


def groups(nest: Nest, on: date = TODAY) -> tuple[EggGroup, ...]:
    zone = ZoneInfo(nest.site.time_zone)
    return egg_groups(**end(nest, on), zone=zone, plans={})


def counts(nest: Nest, on: date) -> list[tuple[str, int, int, int]]:
    return [(g.box_code, g.eggs, g.pipped, g.hatched) for g in groups(nest, on)]


def become(nest: Nest, on: date, *changes: tuple[Any, ...]) -> None:
    told = [EggChange(nest.eggs[number - 1], *rest) for number, *rest in changes]
    set_eggs(changes=told, on=on, by=None, at=NOW)


def test_a_group_says_all_that_a_night_needs() -> None:
    nest = make_nest(eggs=3)

    assert groups(nest) == (
        EggGroup(
            clutch=nest.clutch.pk,
            clutch_code="C-mill",
            species=nest.clutch.species_id,
            laid_on=LAID,
            box=nest.box.pk,
            box_code="BX-mill",
            plan=None,
            eggs=3,
            pipped=0,
            hatched=0,
            incubator=nest.incubator.pk,
            checked_on=None,
        ),
    )
    assert clutches_at(**end(nest, TODAY)) == {nest.clutch.pk: nest.clutch.species_id}
    assert groups(make_nest(site="moor", lying=False)) == ()


def test_a_past_night_is_told_as_it_was_not_as_it_is() -> None:
    nest = make_nest(eggs=4)
    # All is recorded today, days later.
    become(nest, TODAY - 5 * DAY, (1, PIPPED), (2, PIPPED))
    become(nest, TODAY - 3 * DAY, (1, HATCHED), (3, FAILED, FailureCause.MOULD))
    become(nest, TODAY - DAY, (2, HATCHED))

    told = {days: counts(nest, TODAY - days * DAY) for days in range(7)}

    assert told == {
        6: [("BX-mill", 4, 0, 0)],
        5: [("BX-mill", 4, 2, 0)],
        4: [("BX-mill", 4, 2, 0)],
        3: [("BX-mill", 2, 1, 1)],
        2: [("BX-mill", 2, 1, 1)],
        1: [("BX-mill", 1, 0, 2)],
        0: [("BX-mill", 1, 0, 2)],
    }
    assert all(unplaced_eggs(**end(nest, TODAY - n * DAY)) == () for n in range(7))


def test_the_last_egg_ends_the_group() -> None:
    nest = make_nest(eggs=1)
    become(nest, TODAY, (1, HATCHED))

    assert counts(nest, TODAY - DAY) == [("BX-mill", 1, 0, 0)]
    assert groups(nest) == ()
    assert clutches_at(**end(nest, TODAY)) == {}


def test_eggs_that_moved_count_where_they_lay() -> None:
    nest = make_nest(eggs=3)
    other = EggBoxFactory.create(code="BX-2", rows=1, columns=1)
    move_eggs(
        eggs=nest.eggs[:1],
        box=other,
        places=None,
        moved_at=NOW - 2 * DAY,
        by=None,
        at=NOW,
    )

    assert counts(nest, TODAY - 3 * DAY) == [("BX-mill", 3, 0, 0)]
    assert counts(nest, TODAY - 2 * DAY) == [("BX-2", 1, 0, 0), ("BX-mill", 2, 0, 0)]
    # That box stands nowhere, so it counts where the clutch belongs.
    assert [g.incubator for g in groups(nest)] == [None, nest.incubator.pk]


def test_a_box_counts_where_it_stood_at_the_days_end() -> None:
    nest, elsewhere = make_nest(), make_nest(site="moor", lying=False)
    move_box(
        box=nest.box,
        incubator=elsewhere.incubator,
        moved_at=NOW - 2 * DAY,
        by=None,
        at=NOW,
    )

    assert len(groups(nest, TODAY - 3 * DAY)) == 1
    assert groups(elsewhere, TODAY - 3 * DAY) == ()
    assert groups(nest, TODAY - 2 * DAY) == ()
    (found,) = groups(elsewhere, TODAY - 2 * DAY)
    assert found.incubator == elsewhere.incubator.pk
    assert clutches_at(**end(elsewhere, TODAY)) == {
        nest.clutch.pk: nest.clutch.species_id
    }


def test_what_begins_with_the_next_day_does_not_count_yet() -> None:
    nest = make_nest()
    # Lisbon keeps UTC in winter: the 2nd ends at midnight UTC.
    midnight = NOW.replace(hour=0) + DAY
    BoxStay.objects.update(until_at=midnight)
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=midnight)
    late = EggFactory.create(clutch=nest.clutch, number=9)
    EggPlaceFactory.create(egg=late, box=nest.box, row=4, column=3, from_at=midnight)

    (found,) = groups(nest)

    assert (found.eggs, found.incubator) == (3, nest.incubator.pk)
    (later,) = groups(nest, TODAY + DAY)
    assert (later.eggs, later.incubator) == (3, None)


def test_the_last_look_is_the_newest_of_box_and_eggs_in_force_until_then() -> None:
    nest = make_nest()
    other = make_nest(site="moor")
    BoxCheckFactory.create(box=nest.box, at=NOW - 9 * DAY)
    EggCheckFactory.create(egg=nest.eggs[0], at=NOW - 5 * DAY)
    EggCheckFactory.create(egg=nest.eggs[1], at=NOW - 7 * DAY)
    EggCheckFactory.create(
        egg=nest.eggs[1], at=NOW - DAY, struck_at=NOW, struck_reason="Another egg."
    )
    BoxCheckFactory.create(
        box=nest.box, at=NOW - DAY, struck_at=NOW, struck_reason="Another box."
    )
    EggCheckFactory.create(egg=other.eggs[0], at=NOW - HOUR)

    def looked(on: date) -> date | None:
        return groups(nest, on)[0].checked_on

    assert looked(TODAY) == TODAY - 5 * DAY
    assert looked(TODAY - 6 * DAY) == TODAY - 7 * DAY
    assert looked(TODAY - 8 * DAY) == TODAY - 9 * DAY
    assert looked(TODAY - 10 * DAY) is None


def test_eggs_in_no_box_are_counted_by_clutch() -> None:
    nest = make_nest(eggs=3)
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=NOW - 2 * DAY)
    become(nest, TODAY - DAY, (2, FAILED, FailureCause.BROKEN))
    EggPlace.objects.filter(egg=nest.eggs[1]).update(until_at=NOW - 4 * DAY)
    new = ClutchFactory.create(code="A-1", site=nest.site, laid_on=TODAY)
    EggFactory.create(clutch=new, number=1)

    def unplaced(days: int) -> list[tuple[str, int]]:
        found = unplaced_eggs(**end(nest, TODAY - days * DAY))
        return [(code, eggs) for _, code, eggs in found]

    assert unplaced(0) == [("A-1", 1), ("C-mill", 1)]
    assert unplaced(1) == [("C-mill", 1)]
    assert unplaced(2) == [("C-mill", 2)]
    assert unplaced(3) == [("C-mill", 1)]
    assert unplaced(4) == [("C-mill", 1)]
    assert unplaced(5) == []
    assert unplaced_eggs(**end(make_nest(site="moor"), TODAY)) == ()


def test_an_incubator_elsewhere_is_not_the_clutchs_site() -> None:
    nest = make_nest()
    abroad = EnclosureFactory.create(
        kind="incubator", room__site__time_zone="Pacific/Auckland"
    )
    BoxStay.objects.update(incubator=abroad)

    assert groups(nest) == ()
    assert unplaced_eggs(**end(nest, TODAY)) == ()


def test_many_clutches_take_as_many_queries_as_one() -> None:
    nest = make_nest()
    one = queries_of(lambda: groups(nest))
    for number in range(4):
        clutch = ClutchFactory.create(site=nest.site)
        egg = EggFactory.create(clutch=clutch)
        EggPlaceFactory.create(
            egg=egg, box=nest.box, row=4 - number // 3, column=number % 3 + 1
        )
    assert queries_of(lambda: groups(nest)) == one
    assert len(groups(nest)) == 5
    assert queries_of(lambda: unplaced_eggs(**end(nest, TODAY))) == 1
    assert queries_of(lambda: clutches_at(**end(nest, TODAY))) == 1
