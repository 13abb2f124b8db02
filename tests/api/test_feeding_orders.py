"""Feeding orders: agreed, refused, withdrawn."""

from datetime import date, timedelta

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.models import FeedingOrder
from tests.api.conftest import Caller
from tests.api.racks import Json, ids
from tests.factories import NOW, AnimalFactory, FeedingOrderFactory

ORDERS = "/api/v1/feeding-orders/"


@pytest.fixture
def vet(caller: Caller) -> APIClient:
    return caller(Role.VET)


@pytest.fixture
def days() -> Json:
    """A week from tomorrow: no clock here is so far ahead that it began."""
    first = timezone.now().date() + timedelta(days=1)
    last = first + timedelta(days=6)
    return {"from_on": first.isoformat(), "until_on": last.isoformat()}


def assist(days: Json) -> Json:
    return {
        "animal": "V-1",
        "kind": "assist",
        **days,
        "every_days": 2,
        "portion": 3,
        "unit": "mL",
        "reason": "On the vet's word.",
    }


def test_order_and_withdraw(days: Json, vet: APIClient) -> None:
    animal = AnimalFactory.create(code="V-1")

    answer, twice = vet.post(ORDERS, assist(days)), vet.post(ORDERS, assist(days))

    row = FeedingOrder.objects.get()
    said = answer.json()
    assert (answer.status_code, twice.status_code) == (201, 409)
    assert said.pop("made_at").endswith("Z")
    assert said.pop("made_by").startswith("person")
    assert said == {
        "id": row.pk,
        **assist(days),
        "animal": {"id": animal.pk, "code": "V-1"},
        "withdrawn_at": None,
    }

    withdraw = f"{ORDERS}{row.pk}/withdraw/"
    back = vet.post(withdraw, {"reason": "It eats again."})
    again = vet.post(withdraw, {"reason": "It eats again."})

    assert (back.status_code, back.json()["withdrawn_at"] is None) == (200, False)
    assert (again.status_code, again.json()["code"]) == (409, "feeding_order_refused")


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"kind": "feast"}, 400, {"kind": "fast, assist, rhythm"}),
        ({"animal": "V-9"}, 400, {"animal": "the code of an animal"}),
        ({"portion": 10**30}, 400, {"portion": "int <= 32767"}),
        ({"portion": 1001}, 409, {"portion": "1 to 1000"}),
        ({"every_days": 0}, 409, {"every_days": "1 to 366"}),
        ({"unit": "x" * 41}, 400, {"unit": "str of length <= 40"}),
        (
            {"kind": "fast"},
            409,
            {"every_days": "empty", "portion": "empty", "unit": "empty"},
        ),
        ({"from_on": "2026-03-01"}, 409, None),
        ({"until_on": "2199-12-31"}, 409, None),
        ({"reason": ""}, 400, {"reason": "str of length >= 1"}),
        ({"reason": " "}, 409, {"reason": "not blank"}),
    ],
)
def test_an_order_that_cannot_be_is_refused(
    changes: Json, status: int, fields: Json | None, days: Json, vet: APIClient
) -> None:
    AnimalFactory.create(code="V-1")

    answer = vet.post(ORDERS, {**assist(days), **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not FeedingOrder.objects.exists()


def test_read_and_filter(viewer: APIClient) -> None:
    fast = FeedingOrderFactory.create(animal=AnimalFactory.create(code="V-1"))
    other = FeedingOrderFactory.create(
        kind="rhythm",
        every_days=3,
        portion=4,
        unit="insects",
        from_on=date(2026, 3, 3),
        until_on=date(2026, 3, 9),
        made_at=NOW - timedelta(days=1),
        withdrawn_at=NOW,
    )

    assert ids(viewer, ORDERS, "") == [fast.pk, other.pk]
    assert ids(viewer, ORDERS, "animal=V-1") == [fast.pk]
    assert ids(viewer, ORDERS, "kind=rhythm") == [other.pk]
    assert ids(viewer, ORDERS, "in_force=true") == [fast.pk]
    assert ids(viewer, ORDERS, "on=2026-03-02") == [fast.pk]
    assert ids(viewer, ORDERS, "on=2026-03-03") == [other.pk]
    assert viewer.get(f"{ORDERS}{other.pk}/").json()["portion"] == 4
