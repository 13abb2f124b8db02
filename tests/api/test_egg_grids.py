"""Egg boxes over the API, place by place, and what weighing tells of their water."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from clutches.models import Clutch, EggPlace
from tests.clutches.nest import DAY, PUT, Nest, make_nest
from tests.factories import BoxCheckFactory, EggBoxFactory, EggCheckFactory

pytestmark = pytest.mark.django_db
EMPTY = {"lost_g": None, "make_up_g": None, "added_g": 0, "losses": [], "unknown": 0}


def _read(client: APIClient, nest: Nest) -> Any:
    return client.get(f"/api/v1/egg-boxes/{nest.box.pk}/grid/").json()


def test_every_place_and_the_eggs_with_what_was_last_found(viewer: APIClient) -> None:
    nest = make_nest(eggs=4, rows=2, columns=3)
    today = timezone.localdate(timezone=ZoneInfo(nest.site.time_zone))
    Clutch.objects.update(laid_on=today - 45 * DAY)
    EggPlace.objects.filter(egg=nest.eggs[2]).update(until_at=timezone.now())
    EggCheckFactory(egg=nest.eggs[0], at=PUT, seen="vessels", mass_g=Decimal("1.30"))
    EggCheckFactory(egg=nest.eggs[0], at=PUT + DAY, seen="", mass_g=Decimal("1.42"))

    told = _read(viewer, nest)

    assert (told["box"], told["eggs"], told["clutches"]) == ("BX-mill", 3, ["C-mill"])
    assert [(one["place"], one["row"], one["column"]) for one in told["places"]] == [
        ("A1", 1, 1),
        ("B1", 1, 2),
        ("C1", 1, 3),
        ("A2", 2, 1),
        ("B2", 2, 2),
        ("C2", 2, 3),
    ]
    eggs = [one["egg"] and one["egg"]["number"] for one in told["places"]]
    assert eggs == [1, 2, None, 4, None, None]
    assert told["places"][0]["egg"] == {
        "id": nest.eggs[0].pk,
        "clutch": "C-mill",
        "number": 1,
        "state": "incubating",
        "day": 45,
        "seen": "vessels",
        "seen_on": str(PUT.date()),
        "mass_g": 1.42,
        "weighed_on": str((PUT + DAY).date()),
    }
    never = told["places"][1]["egg"]
    assert [never[name] for name in ("seen", "seen_on", "mass_g", "weighed_on")] == (
        4 * [None]
    )


def test_water_that_was_lost_added_and_is_not_known(viewer: APIClient) -> None:
    nest = make_nest(eggs=2)
    for days, mass_g, water_g in ((1, "500", None), (8, "490", "4"), (15, "492", None)):
        BoxCheckFactory(
            box=nest.box,
            at=PUT + timedelta(days=days),
            mass_g=Decimal(mass_g),
            water_g=None if water_g is None else Decimal(water_g),
        )
    # An egg went between the last two: what the box lost then nobody knows.
    EggPlace.objects.filter(egg=nest.eggs[1]).update(until_at=PUT + timedelta(days=10))

    water = _read(viewer, nest)["water"]

    # By hand: 500 − 490 = 10 lost; of these 4 were added after the second weighing,
    # but an egg went before the third, so they count as little as what went.
    assert [loss["lost_g"] for loss in water["losses"]] == [10, None]
    assert (water["lost_g"], water["added_g"]) == (10, 4)
    assert (water["make_up_g"], water["unknown"]) == (10, 1)
    assert water["losses"][0]["from_at"] == "2026-01-02T12:00:00Z"
    assert water["losses"][0]["until_at"] == "2026-01-09T12:00:00Z"


def test_an_empty_box_that_nobody_weighed(viewer: APIClient) -> None:
    box = EggBoxFactory(rows=1, columns=2)

    told = viewer.get(f"/api/v1/egg-boxes/{box.pk}/grid/").json()

    assert (told["eggs"], told["clutches"]) == (0, [])
    assert [one["egg"] for one in told["places"]] == [None, None]
    assert told["water"] == EMPTY


def test_a_full_box_costs_as_many_queries_as_one_egg(
    viewer: APIClient, django_assert_num_queries: Callable[..., Any]
) -> None:
    few, many = make_nest(eggs=1), make_nest(eggs=12, site="moor")
    for egg in (*few.eggs, *many.eggs):
        EggCheckFactory(egg=egg)
        BoxCheckFactory(box=few.box if egg in few.eggs else many.box)
    for nest, eggs in ((few, 1), (many, 12)):
        # The box, where it stands, its eggs, their checks; its checks, its eggs' spells.
        with django_assert_num_queries(6):
            assert _read(viewer, nest)["eggs"] == eggs


def test_a_box_that_is_not_there(viewer: APIClient) -> None:
    answer = viewer.get("/api/v1/egg-boxes/7/grid/")

    assert (answer.status_code, answer.json()["code"]) == (404, "not_found")
