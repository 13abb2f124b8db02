"""What nights forecast, and how well such windows would have held."""

from datetime import date, datetime, timedelta

import pytest
from rest_framework.test import APIClient

from clutches.models import Egg, EggPlace
from husbandry.rules.vocabulary import Zone
from tests.clutches.nest import LAID, PUT, Nest, make_nest
from tests.factories import ForecastFactory, IncubatorDayFactory, ProbeFactory

pytestmark = pytest.mark.django_db
FORECASTS = "/api/v1/forecasts/"
CALIBRATION = f"{FORECASTS}calibration/"


def reared(code: str, *days: int, celsius: float = 26.0) -> Nest:
    """Make a clutch that hatched, measured from the hour it was put away."""
    nest = make_nest(site=code, eggs=len(days))
    probe = ProbeFactory.create(enclosure=nest.incubator, zone=Zone.EGGS.value)
    midnight = PUT.replace(hour=0)
    for number in range(max(days) + 2):
        begun = midnight + timedelta(days=number)
        IncubatorDayFactory.create(
            probe=probe,
            on=begun.date(),
            start_s=int(begun.timestamp()),
            hours_milli_c=[round(celsius * 1000)] * 24,
        )
    for egg, day in zip(nest.eggs, days, strict=True):
        on = LAID + timedelta(days=day)
        Egg.objects.filter(pk=egg.pk).update(state="hatched", ended_on=on)
        EggPlace.objects.filter(egg=egg).update(
            until_at=datetime.combine(on, PUT.timetz()) + timedelta(hours=12)
        )
    return nest


def test_a_forecast_is_a_window_with_what_it_rests_on(viewer: APIClient) -> None:
    row = ForecastFactory.create(evidence={"why": "few_clutches"})

    answer = viewer.get(f"{FORECASTS}{row.pk}/")

    assert answer.status_code == 200
    assert answer.json() == {
        "id": row.pk,
        "clutch": {"id": row.clutch.pk, "code": row.clutch.code},
        "box": {"id": row.box.pk, "code": row.box.code},
        "on": "2026-03-01",
        "basis": "profile_window",
        "earliest_on": "2026-08-09",
        "likely_on": "2026-09-25",
        "latest_on": "2026-11-12",
        "coverage": None,
        "development": None,
        "evidence": {"why": "few_clutches"},
    }


def test_newest_of_each_clutch_and_box(viewer: APIClient) -> None:
    old = ForecastFactory.create(on=date(2026, 3, 1))
    new = ForecastFactory.create(clutch=old.clutch, box=old.box, on=date(2026, 3, 2))
    other_box = ForecastFactory.create(clutch=old.clutch, on=date(2026, 2, 20))

    answer = viewer.get(FORECASTS, {"newest": "true"})

    assert [row["id"] for row in answer.json()["results"]] == [new.pk, other_box.pk]


def test_calibration_without_clutches(viewer: APIClient) -> None:
    nest = make_nest()

    [found] = viewer.get(CALIBRATION).json()

    assert found["species"] == {
        "id": nest.clutch.species_id,
        "code": nest.clutch.species.code,
    }
    assert found["basis"] == "profile_window"
    assert (found["rest_low_days"], found["rest_high_days"]) == (50, 80)
    assert (found["held"], found["told"], found["held_low"]) == (0, 0, 0)
    assert (found["rate"], found["spread"], found["trials"]) == (None, None, [])
    assert found["bias_days"] is None


def test_calibration_of_four_clutches(viewer: APIClient) -> None:
    for number, code in enumerate("abcd"):
        reared(code, 190 + 2 * number, 194 + 2 * number, 198 + 2 * number)
    early = reared("early", 40, 41)

    [found] = viewer.get(CALIBRATION).json()

    assert found["basis"] == "own_clutches"
    assert (found["stated_coverage"], found["told"], found["held"]) == (0.9, 4, 4)
    # Newcombe 1998, method 3: 4 of 4.
    assert found["held_low"] == pytest.approx(0.5101, abs=1e-4)
    assert found["left_out"] == [
        {"clutch": early.clutch.code, "why": "hatched_within_rest"}
    ]
    first = found["trials"][0]
    assert first["clutch"] == "C-a"
    assert (first["first_day"], first["median_day"], first["last_day"]) == (
        190,
        194,
        198,
    )
    assert first["held"] is True
    assert first["early_day"] <= 190
    assert first["likely_day"] == 198
    assert first["late_day"] >= 198
    assert first["why_not"] == ""
    assert first["mean_c"] == pytest.approx(26.0)


def test_calibration_of_another_species_is_empty(viewer: APIClient) -> None:
    make_nest()

    assert viewer.get(CALIBRATION, {"species": "panther"}).json() == []


def test_calibration_by_a_fitted_rate(viewer: APIClient) -> None:
    for number, celsius in enumerate((24.0, 25.0, 26.0, 27.0, 28.0)):
        day = round(65 + 1300 / (celsius - 16))
        reared(f"f{number}", day - 1, day, day + 1, celsius=celsius)

    [found] = viewer.get(CALIBRATION).json()

    assert found["rate"]["zero_c"] == pytest.approx(16.0, abs=0.3)
    assert found["rate"]["zero_stated"] is False
    assert found["rate"]["zero_low_c"] < 16.0 < found["rate"]["zero_high_c"]
    assert found["spread"]["method"] == "t_quantiles"
    assert found["spread"]["clutches"] == 5
