"""What is due among the eggs, over the API."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from clutches.models import Clutch, Egg, EggPlace
from tests.clutches.nest import Nest, make_nest
from tests.factories import (
    BoxCheckFactory,
    ClutchFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    ForecastFactory,
)

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/breeding-due/"
DAY = timedelta(days=1)


def _today(nest: Nest) -> date:
    return timezone.localdate(timezone=ZoneInfo(nest.site.time_zone))


def _laid(nest: Nest, days: int) -> Nest:
    """Say that a clutch was laid and put into its box so many days ago."""
    Clutch.objects.filter(pk=nest.clutch.pk).update(laid_on=_today(nest) - days * DAY)
    put_at = timezone.now() - timedelta(days=days)
    EggPlace.objects.filter(egg__clutch=nest.clutch).update(from_at=put_at)
    return nest


def _read(client: APIClient, **asked: str) -> Any:
    return client.get(ADDRESS, asked).json()["clutches"]


def test_no_eggs_no_clutches(viewer: APIClient) -> None:
    ClutchFactory()

    assert _read(viewer) == []


def test_a_clutch_that_rests_with_all_that_is_due(viewer: APIClient) -> None:
    nest = _laid(make_nest(eggs=4), 45)
    today = _today(nest)
    laid_on = today - 45 * DAY
    Egg.objects.filter(number=1).update(state="pipped", pipped_on=today)
    EggPlace.objects.filter(egg=nest.eggs[1]).update(until_at=timezone.now())

    (found,) = _read(viewer)

    # Days 50 to 80 and 90 as in Andrews & Donoghue 2004; 180 to 275 and a look every
    # 14 days as the care profile of the species says.
    assert found == {
        "clutch": {"id": nest.clutch.pk, "code": "C-mill"},
        "species": nest.clutch.species.code,
        "dam": {"id": nest.clutch.dam.pk, "code": nest.clutch.dam.code},
        "site": {"id": nest.site.pk, "code": "mill"},
        "laid_on": str(laid_on),
        "today": str(today),
        "day": 45,
        "eggs": {"incubating": 3, "pipped": 1, "hatched": 0, "failed": 0},
        "unplaced": 1,
        "uncandled": 3,
        "stage": "diapause",
        "stage_rule_id": "eggs-diapause",
        "boxes": [
            {
                "code": "BX-mill",
                "incubator": "I-mill",
                "eggs": 3,
                "put_on": str(laid_on),
                "checked_on": None,
            }
        ],
        "windows": [
            {
                "earliest_on": str(laid_on + 180 * DAY),
                "likely_on": None,
                "latest_on": str(laid_on + 275 * DAY),
                "basis": "profile_window",
                "on": None,
            }
        ],
        "due": [
            _due("place_eggs", laid_on, eggs=1),
            _due("look_into_box", laid_on + 14 * DAY, eggs=3, box="BX-mill"),
            _due("mind_pipped", today, eggs=1),
            _due("candle_eggs", laid_on + 90 * DAY, eggs=3, is_due=False),
            _due(
                "expect_hatching",
                laid_on + 180 * DAY,
                eggs=4,
                until_on=str(laid_on + 275 * DAY),
                is_due=False,
            ),
        ],
    }


def _due(kind: str, on: date, *, eggs: int, **more: Any) -> dict[str, Any]:
    return {
        "kind": kind,
        "on": str(on),
        "until_on": None,
        "is_due": True,
        "eggs": eggs,
        "box": None,
        **more,
    }


def test_what_was_done_is_due_no_more(viewer: APIClient) -> None:
    nest = _laid(make_nest(eggs=2), 120)
    for egg in nest.eggs:
        EggCheckFactory(egg=egg, at=timezone.now(), seen="vessels")

    (found,) = _read(viewer)

    today = _today(nest)
    assert (found["uncandled"], found["boxes"][0]["checked_on"]) == (0, str(today))
    assert [(due["kind"], due["is_due"]) for due in found["due"]] == [
        ("look_into_box", False),
        ("expect_hatching", False),
    ]
    assert found["due"][0]["on"] == str(today + 14 * DAY)


def test_a_clutch_of_nobody_known_in_a_box_that_stands_nowhere(
    viewer: APIClient,
) -> None:
    nest = _laid(make_nest(eggs=1), 3)
    Clutch.objects.update(dam=None, pairing=None)
    nest.box.stays.update(until_at=timezone.now())

    (found,) = _read(viewer)

    assert found["dam"] is None
    assert found["boxes"][0]["incubator"] is None


def test_the_nearest_forecast_first_and_one_clutch_by_its_code(
    viewer: APIClient,
) -> None:
    far, near = make_nest(eggs=1), make_nest(eggs=1, site="moor")
    today = _today(far)
    for nest, days in ((far, 20), (near, 10)):
        ForecastFactory(
            clutch=nest.clutch,
            box=nest.box,
            on=today - DAY,
            basis="own_clutches",
            earliest_on=today + days * DAY,
            likely_on=today + (days + 5) * DAY,
            latest_on=today + (days + 9) * DAY,
        )

    assert [one["clutch"]["code"] for one in _read(viewer)] == ["C-moor", "C-mill"]
    (found,) = _read(viewer, clutch="C-mill")
    assert found["windows"] == [
        {
            "earliest_on": str(today + 20 * DAY),
            "likely_on": str(today + 25 * DAY),
            "latest_on": str(today + 29 * DAY),
            "basis": "own_clutches",
            "on": str(today - DAY),
        }
    ]


def test_a_clutch_that_is_not_there_is_refused(viewer: APIClient) -> None:
    answer = viewer.get(ADDRESS, {"clutch": "C-9"})

    assert (answer.status_code, answer.json()["code"]) == (400, "unknown_clutch")
    assert answer.json()["fields"] == {"clutch": "code of a clutch, as on its label"}


def test_many_clutches_cost_as_many_queries_as_one(
    viewer: APIClient, django_assert_num_queries: Callable[..., Any]
) -> None:
    nest = make_nest(eggs=2)
    BoxCheckFactory(box=nest.box)
    _read(viewer)  # what is kept for the process is fetched once
    for more in (0, 4):
        for number in range(more):
            egg = EggFactory(clutch=ClutchFactory(code=f"C-{number}"))
            place = EggPlaceFactory(egg=egg)
            ForecastFactory(clutch=egg.clutch, box=place.box)
        with django_assert_num_queries(8):
            assert len(_read(viewer)) == 1 + more
