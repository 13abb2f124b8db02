"""Readings for charts and pages: extremes kept, gaps kept, one query each."""

import pytest
from pytest_django import DjangoAssertNumQueries

from husbandry.models import Reading
from husbandry.queries.readings import (
    LatestReading,
    SeriesPoint,
    latest_readings,
    reading_counts,
    reading_series,
    reading_series_of,
)
from husbandry.rules.vocabulary import Quantity
from tests.factories import ProbeFactory

START = 1_772_409_600
T = Quantity.TEMPERATURE_C


def put(probe_id: int, *rows: tuple[int, int | None]) -> None:
    Reading.objects.bulk_create(
        Reading(probe_id=probe_id, at=START + at, temperature_milli_c=milli)
        for at, milli in rows
    )


def point(first: int, last: int, low: int, high: int, readings: int) -> SeriesPoint:
    return SeriesPoint(START + first, START + last, low, high, readings)


@pytest.mark.django_db
def test_reading_series_keeps_every_reading_while_they_fit() -> None:
    probe = ProbeFactory(interval_s=300)
    put(probe.pk, (0, 20_000), (300, 21_000), (600, None), (900, 22_000))

    series = reading_series(
        probe_id=probe.pk, quantity=T, from_s=START, until_s=START + 1200, most_points=4
    )

    assert series.runs == (
        (
            point(0, 0, 20_000, 20_000, 1),
            point(300, 300, 21_000, 21_000, 1),
            point(900, 900, 22_000, 22_000, 1),
        ),
    )
    assert (series.quantity, series.readings) == (T, 3)


@pytest.mark.django_db
def test_reading_series_thins_and_hides_no_extreme() -> None:
    probe = ProbeFactory(interval_s=60)
    put(probe.pk, *((60 * n, 20_000 + n) for n in range(60)), (3_600, 45_000))

    series = reading_series(
        probe_id=probe.pk, quantity=T, from_s=START, until_s=START + 7200, most_points=4
    )

    assert series.runs == (
        (
            point(0, 1_740, 20_000, 20_029, 30),
            point(1_800, 3_540, 20_030, 20_059, 30),
            point(3_600, 3_600, 45_000, 45_000, 1),
        ),
    )


@pytest.mark.django_db
@pytest.mark.parametrize(("silence_s", "runs"), [(900, 1), (901, 2)])
def test_reading_series_breaks_where_no_reading_was_in_force(
    silence_s: int, runs: int
) -> None:
    probe = ProbeFactory(interval_s=300)
    put(probe.pk, (0, 20_000), (silence_s, 20_000))

    series = reading_series(
        probe_id=probe.pk, quantity=T, from_s=START, until_s=START + 86_400
    )

    assert len(series.runs) == runs


@pytest.mark.django_db
def test_reading_series_breaks_within_a_span_too() -> None:
    probe = ProbeFactory(interval_s=60)
    put(probe.pk, (0, 20_000), (60, 21_000), (600, 30_000))

    series = reading_series(
        probe_id=probe.pk, quantity=T, from_s=START, until_s=START + 3600, most_points=1
    )

    assert series.runs == (
        (point(0, 60, 20_000, 21_000, 2),),
        (point(600, 600, 30_000, 30_000, 1),),
    )


@pytest.mark.django_db
def test_reading_series_begins_and_ends_where_it_is_told(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    probe, other = ProbeFactory.create_batch(2)
    put(probe.pk, (-1, 1), (0, 2), (299, 3), (300, 4))
    put(other.pk, (0, 9))

    with django_assert_num_queries(1):
        series = reading_series(
            probe_id=probe.pk, quantity=T, from_s=START, until_s=START + 300
        )

    assert [(p.lowest_milli, p.readings) for run in series.runs for p in run] == [
        (2, 1),
        (3, 1),
    ]


@pytest.mark.django_db
def test_reading_series_of_nothing() -> None:
    probe = ProbeFactory()

    series = reading_series(
        probe_id=probe.pk, quantity=T, from_s=START, until_s=START + 300
    )

    assert (series.runs, series.readings) == ((), 0)


@pytest.mark.django_db
def test_latest_readings_of_each_probe(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    one, two, silent, other = ProbeFactory.create_batch(4)
    put(one.pk, (0, 1), (300, 2), (600, 3))
    put(two.pk, (0, None))
    put(other.pk, (0, 9))

    with django_assert_num_queries(1):
        latest = latest_readings(
            probe_ids=[one.pk, two.pk, silent.pk], until_s=START + 600
        )

    assert latest == {
        one.pk: LatestReading(one.pk, START + 300, 2, None, None),
        two.pk: LatestReading(two.pk, START, None, None, None),
    }


@pytest.mark.django_db
def test_reading_counts_by_probe() -> None:
    one, two, silent = ProbeFactory.create_batch(3)
    put(one.pk, (-1, 1), (0, 2), (299, 3), (300, 4))
    put(two.pk, (0, None))

    assert reading_counts(
        probe_ids=[one.pk, two.pk, silent.pk], from_s=START, until_s=START + 300
    ) == {one.pk: 2, two.pk: 1}


@pytest.mark.django_db
def test_reading_series_of_several_probes_are_each_as_if_alone(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    often, seldom = ProbeFactory(interval_s=60), ProbeFactory(interval_s=3_600)
    silent, other = ProbeFactory.create_batch(2)
    for probe in (often, seldom, other):
        put(probe.pk, (0, 20_000), (600, 30_000))
    span = {"quantity": T, "from_s": START, "until_s": START + 3_600}

    with django_assert_num_queries(1):
        found = reading_series_of(
            probe_ids=[seldom.pk, often.pk, silent.pk], most_points=1, **span
        )

    assert list(found) == [seldom.pk, often.pk, silent.pk]
    # Three intervals of a minute are over after ten; three of an hour are not.
    assert found[seldom.pk].runs == ((point(0, 600, 20_000, 30_000, 2),),)
    assert len(found[often.pk].runs) == 2
    assert (found[silent.pk].runs, found[silent.pk].readings) == ((), 0)
    with django_assert_num_queries(0):
        assert reading_series_of(probe_ids=[], **span) == {}
