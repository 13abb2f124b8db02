"""Forecasts are written night by night, and read as they moved."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoAssertNumQueries

from clutches.actions.forecasts import write_forecasts
from clutches.models import BoxStay, Egg, EggPlace, Forecast
from clutches.queries.forecasts import (
    calibrations,
    forecasts_of_clutch,
    open_forecasts,
)
from clutches.rules.forecasting import Window
from clutches.rules.vocabulary import ForecastBasis
from tests.clutches.nest import LAID, PUT, Nest, make_nest
from tests.factories import (
    BoxStayFactory,
    EnclosureFactory,
    ForecastFactory,
    RoomFactory,
)

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 1)


def window(likely_on: date = date(2026, 7, 10)) -> Window:
    return Window(
        basis=ForecastBasis.OWN_CLUTCHES,
        earliest_on=likely_on - timedelta(days=10),
        likely_on=likely_on,
        latest_on=likely_on + timedelta(days=12),
        coverage=0.9,
        development=0.25,
        evidence={"past": 3},
    )


def key(nest: Nest) -> tuple[int, int]:
    return nest.clutch.pk, nest.box.pk


def written() -> list[tuple[str, date, date]]:
    rows = Forecast.objects.order_by("clutch__code", "on")
    return list(rows.values_list("clutch__code", "on", "likely_on"))


def test_a_night_is_written_once_however_often_it_is_reviewed() -> None:
    nest = make_nest()
    code, later = nest.clutch.code, date(2026, 7, 12)

    write_forecasts(site=nest.site, on=ON, windows={key(nest): window()})
    write_forecasts(
        site=nest.site, on=ON + timedelta(days=1), windows={key(nest): window()}
    )
    write_forecasts(site=nest.site, on=ON, windows={key(nest): window(later)})

    assert written() == [
        (code, ON, later),
        (code, ON + timedelta(days=1), date(2026, 7, 10)),
    ]
    row = Forecast.objects.get(on=ON)
    assert str(row.coverage) == "0.900"
    assert (row.basis, row.development, row.evidence) == (
        "own_clutches",
        0.25,
        {"past": 3},
    )


def test_window_without_coverage_keeps_none() -> None:
    nest = make_nest()
    bare = Window(ForecastBasis.PROFILE_WINDOW, ON, ON, ON, None, None, {})

    write_forecasts(site=nest.site, on=ON, windows={key(nest): bare})

    row = Forecast.objects.get()
    assert (row.coverage, row.development) == (None, None)


def test_what_is_not_told_any_more_goes() -> None:
    nest = make_nest()
    write_forecasts(site=nest.site, on=ON, windows={key(nest): window()})

    write_forecasts(site=nest.site, on=ON, windows={})

    assert written() == []


def test_forecasts_of_other_sites_stay() -> None:
    here, there = make_nest(), make_nest(site="barn")
    for nest in (here, there):
        write_forecasts(site=nest.site, on=ON, windows={key(nest): window()})
    # A clutch of ours that stands with the other site is judged in its night.
    BoxStay.objects.filter(box=here.box).update(until_at=PUT + timedelta(days=5))
    BoxStayFactory.create(
        box=here.box, incubator=there.incubator, from_at=PUT + timedelta(days=5)
    )

    write_forecasts(site=here.site, on=ON, windows={})
    assert {code for code, _, _ in written()} == {"C-mill", "C-barn"}

    write_forecasts(site=there.site, on=ON, windows={})
    assert written() == []


def test_box_that_stands_nowhere_is_of_its_clutchs_site() -> None:
    nest = make_nest()
    BoxStay.objects.filter(box=nest.box).delete()
    write_forecasts(site=nest.site, on=ON, windows={key(nest): window()})

    write_forecasts(site=nest.site, on=ON, windows={})

    assert written() == []


def test_two_queries_to_write_however_many(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    nest = make_nest()
    other = make_nest(site="barn")
    windows = {key(nest): window(), key(other): window()}

    # Two of them, and the two that open and close the savepoint.
    with django_assert_num_queries(4):
        write_forecasts(site=nest.site, on=ON, windows=windows)


def test_history_of_a_clutch() -> None:
    nest = make_nest()
    for number in (1, 0, 2):
        ForecastFactory(
            clutch=nest.clutch, box=nest.box, on=ON + timedelta(days=number)
        )

    found = forecasts_of_clutch(clutch=nest.clutch)

    assert [row.on.day for row in found] == [1, 2, 3]


def test_newest_of_those_with_eggs_left() -> None:
    nest, over = make_nest(), make_nest(site="barn")
    for number in (0, 2, 1):
        for one in (nest, over):
            ForecastFactory(
                clutch=one.clutch, box=one.box, on=ON + timedelta(days=number)
            )
    Egg.objects.filter(clutch=over.clutch).update(state="hatched", ended_on=ON)

    assert [(row.clutch_id, row.on.day) for row in open_forecasts()] == [
        (nest.clutch.pk, 3)
    ]
    assert open_forecasts(clutch_ids=[over.clutch.pk]) == ()
    # Eggs that were moved are told by the box in which they lie.
    EggPlace.objects.filter(egg__clutch=nest.clutch).update(until_at=PUT + LATER)
    assert open_forecasts() == ()


LATER = timedelta(days=30)


def hatch_all(nest: Nest, day: int) -> None:
    Egg.objects.filter(clutch=nest.clutch).update(
        state="hatched", ended_on=LAID + timedelta(days=day)
    )


def test_calibration_of_each_species_with_eggs() -> None:
    nest = make_nest()
    hatch_all(nest, 190)
    day_after = datetime(2026, 8, 1, tzinfo=UTC).date()

    [found] = calibrations(on=day_after)

    assert found.code == nest.clutch.species.code
    assert found.calibration.footing.left_out[0].code == nest.clutch.code
    assert calibrations(on=day_after, species_code="nobody") == ()


def test_clutch_counts_on_the_day_of_its_last_hatching() -> None:
    nest = make_nest()
    hatch_all(nest, 190)
    last_on = LAID + timedelta(days=190)

    known = [
        len(calibrations(on=on)[0].calibration.footing.left_out)
        for on in (last_on - timedelta(days=1), last_on)
    ]

    assert known == [0, 1]


def test_no_more_queries_for_many_calibrations() -> None:
    counted = []
    for codes in ("a", "bcd"):
        for code in codes:
            nest = make_nest(site=code)
            hatch_all(nest, 190)
            EnclosureFactory.create(room=RoomFactory.create(site=nest.site))
        with CaptureQueriesContext(connection) as asked:
            calibrations(on=date(2026, 8, 1))
        counted.append(len(asked))

    assert counted[0] == counted[1] <= 9
