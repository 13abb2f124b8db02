"""Hours of incubators are kept for good, written anew as a whole, and half never."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import transaction
from django.db.transaction import TransactionManagementError
from pytest_django import DjangoAssertNumQueries

from clutches.actions.incubation import write_incubator_days
from clutches.models import IncubatorDay
from clutches.rules.incubation import IncubatorClimate
from husbandry.models import Enclosure, Probe
from husbandry.rules.vocabulary import EnclosureKind, Zone
from tests.factories import EnclosureFactory, IncubatorDayFactory, ProbeFactory
from tests.rules.clutches.incubation import made
from tests.rules.clutches.incubation.made import DAY, HOUR_S, ON, START_S, steady

pytestmark = pytest.mark.django_db


def incubator() -> Enclosure:
    return EnclosureFactory.create(kind=EnclosureKind.INCUBATOR.value)


def thermometer(where: Enclosure) -> Probe:
    return ProbeFactory.create(enclosure=where, zone=Zone.EGGS.value)


def measured(*probes: Probe, celsius: float = 26.0) -> IncubatorClimate:
    half = [(0, 12 * HOUR_S, celsius)]
    return made.climate([made.probe(steady(*half), id=p.pk) for p in probes])


def kept() -> list[tuple[int, int, list[int | None]]]:
    rows = IncubatorDay.objects.order_by("probe", "on")
    return [(row.probe_id, row.start_s, row.hours_milli_c) for row in rows]


def test_each_probe_keeps_its_hours() -> None:
    where = incubator()
    probe, silent = thermometer(where), thermometer(where)
    climate = measured(probe)
    nothing = made.probe([], id=silent.pk)

    write_incubator_days(
        replace(climate, probes=(*climate.probes, nothing)),
        site=where.room.site,
        on=ON,
    )

    assert kept() == [(probe.pk, START_S, [26_000] * 12 + [None] * 12)]
    assert (DAY.start_s, IncubatorDay.objects.get().on) == (START_S, ON)


def test_written_again_it_is_the_last_that_counts() -> None:
    where = incubator()
    first, second = thermometer(where), thermometer(where)
    site = where.room.site

    write_incubator_days(measured(first, second), site=site, on=ON)
    write_incubator_days(measured(second, celsius=27.0), site=site, on=ON)

    assert [(probe, hours[0]) for probe, _, hours in kept()] == [(second.pk, 27_000)]


def test_other_days_sites_and_enclosures_are_left_alone() -> None:
    where, elsewhere = incubator(), incubator()
    here = thermometer(where)
    for probe, on in (
        (here, ON - timedelta(days=1)),
        (thermometer(elsewhere), ON),
    ):
        IncubatorDayFactory.create(probe=probe, on=on)

    write_incubator_days(measured(), site=where.room.site, on=ON)

    assert IncubatorDay.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_never_outside_a_transaction() -> None:
    where = incubator()

    with pytest.raises(TransactionManagementError):
        write_incubator_days(measured(), site=where.room.site, on=ON)
    with transaction.atomic():
        write_incubator_days(measured(), site=where.room.site, on=ON)


def test_as_many_queries_for_one_probe_as_for_many(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    where = incubator()
    probes = [thermometer(where) for _ in range(3)]

    for some in (probes[:1], probes):
        climate = measured(*some)
        with django_assert_num_queries(2):
            write_incubator_days(climate, site=where.room.site, on=ON)
