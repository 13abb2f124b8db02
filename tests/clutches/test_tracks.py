"""Where eggs were since laying, and how warm it was there, hour by hour."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.models import BoxStay, Egg, EggPlace
from clutches.queries.eggs import egg_groups
from clutches.queries.tracks import box_spells, past_clutches, tracks_of
from clutches.rules.facts import BoxSpell, EggGroup, PastClutch
from husbandry.models import Enclosure
from husbandry.queries.review import local_day
from husbandry.rules.clock import LocalDay
from husbandry.rules.vocabulary import Zone
from tests.clutches.nest import DAY, LAID, PUT, Nest, make_nest
from tests.factories import (
    BoxStayFactory,
    EggBoxFactory,
    EggPlaceFactory,
    EnclosureFactory,
    IncubatorDayFactory,
    ProbeFactory,
)

pytestmark = pytest.mark.django_db
ON = date(2026, 1, 4)
Spells = tuple[BoxSpell, ...]


def seconds(nest: Nest, on: date) -> int:
    return local_day(nest.site, on).start_s


def night(nest: Nest, on: date = ON) -> tuple[tuple[EggGroup, ...], LocalDay]:
    day = local_day(nest.site, on)
    at = datetime.fromtimestamp(day.end_s, UTC)
    zone = ZoneInfo(nest.site.time_zone)
    return egg_groups(site=nest.site, at=at, zone=zone, plans={}), day


def spells_of(nest: Nest, on: date = ON) -> dict[tuple[int, int], Spells]:
    groups, day = night(nest, on)
    return box_spells(groups=groups, day=day, zone=ZoneInfo(nest.site.time_zone))


def measure(
    nest: Nest,
    where: Enclosure,
    *days: tuple[date, float | None],
    zone: Zone = Zone.EGGS,
) -> None:
    probe = ProbeFactory.create(enclosure=where, zone=zone.value)
    for on, celsius in days:
        milli = None if celsius is None else round(celsius * 1000)
        IncubatorDayFactory.create(
            probe=probe, on=on, start_s=seconds(nest, on), hours_milli_c=[milli] * 24
        )


def track_c(nest: Nest, on: date = ON) -> np.ndarray:
    groups, day = night(nest, on)
    spells = box_spells(groups=groups, day=day, zone=ZoneInfo(nest.site.time_zone))
    [found] = tracks_of(groups=groups, spells=spells, until_s=day.end_s).values()
    assert found.start_s == seconds(nest, LAID)
    return found.hours_c


def put_s() -> int:
    return int(PUT.timestamp())


def test_nowhere_until_put_into_an_incubator() -> None:
    nest = make_nest()

    assert spells_of(nest) == {
        (nest.clutch.pk, nest.box.pk): (
            BoxSpell(None, seconds(nest, LAID), put_s()),
            BoxSpell(nest.incubator.pk, put_s(), None),
        )
    }


def test_where_most_of_the_eggs_were() -> None:
    nest = make_nest(eggs=3)
    other, later = EnclosureFactory.create(kind="incubator"), PUT + DAY
    first_box = EggBoxFactory.create(code="BX-first")
    BoxStayFactory.create(box=first_box, incubator=other, from_at=PUT)
    # Two of three lay elsewhere for a day.
    for egg in nest.eggs[:2]:
        EggPlace.objects.filter(egg=egg).update(from_at=later)
    for column, egg in enumerate(nest.eggs[:2], start=1):
        EggPlaceFactory.create(
            egg=egg, box=first_box, column=column, from_at=PUT, until_at=later
        )

    [spells] = spells_of(nest).values()

    assert [spell.incubator for spell in spells] == [
        None,
        other.pk,
        nest.incubator.pk,
    ]
    assert spells[-1].from_s == int(later.timestamp())


def test_moves_after_the_day_do_not_count() -> None:
    nest = make_nest()
    Egg.objects.filter(pk=nest.eggs[0].pk).update(
        state="failed", cause="mould", ended_on=ON + DAY
    )
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=PUT + 9 * DAY)
    EggPlaceFactory.create(egg=nest.eggs[0], from_at=PUT + 9 * DAY)

    [spells] = spells_of(nest).values()

    assert [spell.incubator for spell in spells] == [None, nest.incubator.pk]
    assert spells[-1].until_s is None


def test_eggs_that_were_taken_out_do_not_count() -> None:
    nest = make_nest()
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=PUT + DAY)

    [spells] = spells_of(nest).values()

    assert [spell.incubator for spell in spells] == [None, nest.incubator.pk]


def test_until_the_day_begins_what_was_moved_within_it_does_not_count() -> None:
    nest = make_nest()
    measure(nest, nest.incubator, (LAID + DAY, 26.0), (ON, 25.0))
    BoxStay.objects.filter(box=nest.box).update(until_at=PUT + 3 * DAY)
    other = EnclosureFactory.create(kind="incubator", room=nest.incubator.room)
    BoxStayFactory.create(box=nest.box, incubator=other, from_at=PUT + 3 * DAY)
    groups, day = night(nest)
    spells = box_spells(groups=groups, day=day, zone=ZoneInfo(nest.site.time_zone))

    [found] = tracks_of(groups=groups, spells=spells, until_s=day.start_s).values()

    assert len(found.hours_c) == 24 * 3
    assert (found.hours_c[24:48] == 26.0).all()


def test_hours_are_stitched_from_where_the_eggs_were() -> None:
    nest = make_nest()
    measure(nest, nest.incubator, (LAID, 26.0), (LAID + DAY, 27.0), (ON, 25.0))

    hours_c = track_c(nest)

    assert len(hours_c) == 24 * 4
    put = (put_s() - seconds(nest, LAID)) // 3600
    assert np.isnan(hours_c[:put]).all()
    assert (hours_c[put:24] == 26.0).all()
    assert (hours_c[24:48] == 27.0).all()
    # Nobody measured on the third day.
    assert np.isnan(hours_c[48:72]).all()
    assert (hours_c[72:] == 25.0).all()


def test_several_probes_make_a_mean_and_those_among_the_eggs_go_first() -> None:
    nest = make_nest()
    measure(nest, nest.incubator, (ON, 26.0))
    measure(nest, nest.incubator, (ON, 27.0))
    measure(nest, nest.incubator, (ON, None))
    measure(nest, nest.incubator, (ON, 35.0), zone=Zone.AMBIENT)

    assert (track_c(nest)[72:] == 26.5).all()


def test_without_a_probe_among_the_eggs_all_others_tell() -> None:
    nest = make_nest()
    measure(nest, nest.incubator, (ON, 26.0), zone=Zone.AMBIENT)

    assert (track_c(nest)[72:] == 26.0).all()


def test_days_of_23_hours_are_stitched_without_a_seam() -> None:
    nest = make_nest()
    nest.site.time_zone = "Europe/Berlin"
    nest.site.save()
    nest.clutch.laid_on = date(2026, 3, 28)
    nest.clutch.save()
    days = [date(2026, 3, 28) + timedelta(days=n) for n in range(3)]
    probe = ProbeFactory.create(enclosure=nest.incubator, zone=Zone.EGGS.value)
    for number, on in enumerate(days):
        day = local_day(nest.site, on)
        hours = (day.end_s - day.start_s) // 3600
        IncubatorDayFactory.create(
            probe=probe,
            on=on,
            start_s=day.start_s,
            hours_milli_c=[(25 + number) * 1000] * hours,
        )
    groups, day = night(nest, days[-1])
    spells = box_spells(groups=groups, day=day, zone=ZoneInfo("Europe/Berlin"))

    [found] = tracks_of(groups=groups, spells=spells, until_s=day.end_s).values()

    # Clocks went forward on 29 March 2026.
    assert found.hours_c.tolist() == [25.0] * 24 + [26.0] * 23 + [27.0] * 24


def test_nothing_is_asked_of_nothing() -> None:
    assert tracks_of(groups=(), spells={}, until_s=0) == {}
    assert past_clutches(species_ids=[], before=ON) == ()


def hatch(nest: Nest, *days: int) -> None:
    for egg, day in zip(nest.eggs, days, strict=False):
        on = LAID + timedelta(days=day)
        until_at = datetime.fromtimestamp(local_day(nest.site, on).end_s, UTC)
        Egg.objects.filter(pk=egg.pk).update(state="hatched", ended_on=on)
        EggPlace.objects.filter(egg=egg).update(until_at=until_at)


def past_of(nest: Nest, before: date) -> tuple[PastClutch, ...]:
    return past_clutches(species_ids=[nest.clutch.species_id], before=before)


def test_past_clutch_with_its_track() -> None:
    nest = make_nest()
    hatch(nest, 4, 2, 3)
    measure(nest, nest.incubator, *((LAID + n * DAY, 26.0) for n in range(8)))

    [found] = past_of(nest, date(2026, 2, 1))

    assert found.hatch_days == (2, 3, 4)
    assert (found.clutch_code, found.laid_on) == (nest.clutch.code, LAID)
    # Until the end of the day on which the last one hatched.
    assert len(found.track.hours_c) == 24 * 5
    put = (put_s() - seconds(nest, LAID)) // 3600
    assert np.isnan(found.track.hours_c[:put]).all()
    # What hatched first left the box, and the others went on lying there.
    assert (found.track.hours_c[put:] == 26.0).all()


@pytest.mark.parametrize(
    ("days", "before", "there"),
    [
        ((4, 2, 3), date(2026, 1, 6), True),
        # Not before the last one had hatched.
        ((4, 2, 3), date(2026, 1, 5), False),
        # One incubates still.
        ((4, 2), date(2026, 2, 1), False),
        ((), date(2026, 2, 1), False),
    ],
)
def test_past_is_what_had_ended_before(
    days: tuple[int, ...], before: date, there: bool
) -> None:
    nest = make_nest()
    hatch(nest, *days)

    assert bool(past_of(nest, before)) == there


def test_failed_eggs_say_nothing_of_when_they_hatch() -> None:
    nest = make_nest()
    hatch(nest, 4, 5)
    Egg.objects.filter(pk=nest.eggs[2].pk).update(
        state="failed", cause="mould", ended_on=LAID + 90 * DAY
    )

    [found] = past_of(nest, date(2026, 6, 1))
    assert found.hatch_days == (4, 5)

    Egg.objects.filter(clutch=nest.clutch).update(
        state="failed", cause="mould", ended_on=LAID + 90 * DAY
    )
    assert past_of(nest, date(2026, 6, 1)) == ()


def test_no_more_queries_for_many() -> None:
    counted = []
    for many in ("a", "bcd"):
        for code in many:
            nest = make_nest(site=code)
            hatch(nest, 2, 3, 4)
            measure(nest, nest.incubator, (ON, 26.0))
            open_ = make_nest(site=f"{code}-open")
            measure(open_, open_.incubator, (ON, 26.0))
        groups, day = night(open_)
        with CaptureQueriesContext(connection) as asked:
            spells = box_spells(groups=groups, day=day, zone=ZoneInfo("UTC"))
            tracks_of(groups=groups, spells=spells, until_s=day.end_s)
            past_clutches(
                species_ids=Egg.objects.values_list("clutch__species", flat=True),
                before=date(2026, 6, 1),
            )
        counted.append(len(asked))

    assert counted == [10, 10]
