"""Orders about food: why, by whom, until when, and one at a time."""

from datetime import timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from core.roles import Role
from husbandry.actions.feeding_orders import order_feeding, withdraw_feeding_order
from husbandry.models import Animal, FeedingOrder
from husbandry.rules.feeding_orders import FeedingOrderError
from husbandry.rules.vocabulary import FeedingOrderKind
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    FeedingOrderFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
K = FeedingOrderKind
ORDERED: dict[str, Any] = {
    "kind": K.ASSIST,
    "from_on": TODAY,
    "until_on": TODAY + 6 * DAY,
    "every_days": 2,
    "portion": 3,
    "unit": "mL",
    "reason": "Lost a tenth of its mass; on the vet's word.",
    "by": None,
    "at": NOW,
}
FAST: dict[str, Any] = {"kind": K.FAST, "every_days": None, "portion": None, "unit": ""}


def order(animal: Animal, **given: Any) -> FeedingOrder:
    return order_feeding(animal=animal, **(ORDERED | given))


def test_an_order_says_how_much_why_and_until_when() -> None:
    animal, vet = AnimalFactory.create(), UserFactory.create(role=Role.VET)

    made = order(animal, unit=" mL ", by=vet)

    made.refresh_from_db()
    assert (made.animal, made.kind, made.unit) == (animal, "assist", "mL")
    assert (made.every_days, made.portion) == (2, 3)
    assert (made.from_on, made.until_on) == (TODAY, TODAY + 6 * DAY)
    assert (made.made_by, made.made_at, made.withdrawn_at) == (vet, NOW, None)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == (
        *("order_feeding", vet, ORDERED["reason"]),
    )
    assert entry.after == {
        "animal": animal.pk,
        "kind": "assist",
        "from_on": "2026-03-02",
        "until_on": "2026-03-08",
        "every_days": 2,
        "portion": 3,
        "unit": "mL",
    }


def test_a_fast_has_no_amounts() -> None:
    made = order(AnimalFactory.create(), **FAST)

    assert (made.every_days, made.portion, made.unit) == (None, None, "")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"reason": " "}, "Say why, and on whose word"),
        ({"from_on": TODAY - DAY}, "01 Mar 2026 is over: an order begins today or"),
        ({"until_on": TODAY - DAY}, "an order lasts 1 to 366 days"),
        ({"until_on": TODAY + 366 * DAY}, "an order lasts 1 to 366 days"),
        ({"every_days": None}, "says how much of what every how many days"),
        ({"portion": None, "kind": K.RHYTHM}, "An order of the kind rhythm says"),
        ({"unit": " "}, "says how much of what"),
        ({"every_days": 0}, "Every 0 days cannot be: give 1 to 366"),
        ({"every_days": 367}, "Every 367 days cannot be"),
        ({"portion": 0}, "order a fast"),
        ({"portion": 1001}, "A portion of 1001 mL cannot be: give 1 to 1000"),
        ({"unit": "x" * 41}, "The unit has 41 characters; at most 40"),
        ({"kind": K.FAST}, "In a fast nothing is offered"),
        (FAST | {"every_days": 1}, "In a fast nothing is offered"),
        (FAST | {"portion": 1}, "In a fast nothing is offered"),
        (FAST | {"unit": "mL"}, "In a fast nothing is offered"),
    ],
)
def test_an_order_that_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    with pytest.raises(FeedingOrderError, match=said):
        order(AnimalFactory.create(), **given)

    assert not FeedingOrder.objects.exists()
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(
    "given",
    [
        {"until_on": TODAY},
        {"until_on": TODAY + 365 * DAY},
        {"every_days": 1, "portion": 1},
        {"every_days": 366, "portion": 1000, "unit": "x" * 40},
        {"kind": K.RHYTHM},
    ],
)
def test_an_order_that_just_can_be_is_made(given: dict[str, Any]) -> None:
    assert order(AnimalFactory.create(), **given).pk


def test_today_is_the_day_where_the_animal_is() -> None:
    # Noon by UTC is past midnight of the next day in Auckland.
    stay = StayFactory.create(enclosure__room__site__time_zone="Pacific/Auckland")

    with pytest.raises(FeedingOrderError, match="02 Mar 2026 is over"):
        order(stay.animal)

    assert order(stay.animal, from_on=TODAY + DAY).pk


def test_who_has_left_is_not_fed_by_order() -> None:
    with pytest.raises(FeedingOrderError, match="is not in care any more"):
        order(AnimalFactory.create(left=True))


def test_one_order_holds_at_a_time() -> None:
    animal = AnimalFactory.create()
    order(animal, from_on=TODAY + 2 * DAY, until_on=TODAY + 4 * DAY)

    for first, last in ((0, 2), (3, 3), (4, 9), (0, 9)):
        with pytest.raises(FeedingOrderError) as caught:
            order(
                animal, **FAST, from_on=TODAY + first * DAY, until_on=TODAY + last * DAY
            )
        assert "(assist) holds from 04 Mar 2026 to 06 Mar 2026" in str(caught.value)

    order(animal, **FAST, from_on=TODAY, until_on=TODAY + DAY)
    order(animal, from_on=TODAY + 5 * DAY, until_on=TODAY + 5 * DAY)
    order(AnimalFactory.create())
    assert FeedingOrder.objects.count() == 4


def test_an_order_is_withdrawn_once_and_makes_room() -> None:
    animal, vet = AnimalFactory.create(), UserFactory.create(role=Role.VET)
    made = order(animal)

    with pytest.raises(FeedingOrderError, match="Say why"):
        withdraw_feeding_order(order=made, reason="", by=vet, at=NOW)
    withdraw_feeding_order(order=made, reason=" Eats again. ", by=vet, at=NOW)
    with pytest.raises(FeedingOrderError, match="was withdrawn already"):
        withdraw_feeding_order(order=made, reason="Again.", by=vet, at=NOW)

    made.refresh_from_db()
    assert made.withdrawn_at == NOW
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == ("withdraw_feeding_order", "Eats again.")
    assert entry.before["kind"] == "assist"
    assert order(animal).pk != made.pk
    assert FeedingOrderFactory.create().withdrawn_at is None
