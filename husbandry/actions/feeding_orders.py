"""Agree on one animal's food instead of its profile's: by whom, why, until when."""

from datetime import date, datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.models import Animal, FeedingOrder
from husbandry.queries.stays import local_day_of
from husbandry.rules.animals import not_in_care
from husbandry.rules.feeding_orders import (
    FeedingOrderError,
    check_order_amounts,
    check_order_days,
)
from husbandry.rules.vocabulary import AnimalStatus, FeedingOrderKind

_TOLD = ("animal", "kind", "from_on", "until_on", "every_days", "portion", "unit")


@transaction.atomic
def order_feeding(
    *,
    animal: Animal,
    kind: FeedingOrderKind,
    from_on: date,
    until_on: date,
    every_days: int | None,
    portion: int | None,
    unit: str,
    reason: str,
    by: User | None,
    at: datetime,
) -> FeedingOrder:
    """Agree on how one animal is fed on some days, instead of by its profile.

    Args:
        animal: in care.
        kind: a fast offers nothing; assist feeds by hand, as a vet advised; rhythm
            is another portion or interval.
        from_on: first local day, today or later.
        until_on: last local day, at most 366 days in all.
        every_days: days from feeding to feeding; None in a fast.
        portion: how much at each feeding; None in a fast.
        unit: of the portion, such as insects or mL; "" in a fast.
        reason: why, and on whose word.
        by: the person.
        at: now.

    Returns:
        The order.

    Raises:
        FeedingOrderError: no reason, an animal that has left, days or amounts that
            cannot be, or another order holds on some of the days.
    """
    unit = unit.strip()
    _check_reason(reason)
    check_order_amounts(kind, every_days=every_days, portion=portion, unit=unit)
    # Locked, so that two people do not order two things for the same days.
    animal = Animal.objects.select_for_update(no_key=True).get(pk=animal.pk)
    if animal.status != AnimalStatus.IN_CARE:
        raise FeedingOrderError(
            not_in_care(str(animal), AnimalStatus(animal.status)),
            fields={"animal": "one in care"},
        )
    today = local_day_of(animal=animal, at=at)
    check_order_days(from_on=from_on, until_on=until_on, today=today)
    order = FeedingOrder(
        animal=animal,
        kind=kind.value,
        from_on=from_on,
        until_on=until_on,
        every_days=every_days,
        portion=portion,
        unit=unit,
        reason=reason.strip(),
        made_by=by,
        made_at=at,
    )
    _check_alone(order)
    order.save()
    audit.record(
        order,
        verb="order_feeding",
        by=by,
        at=at,
        after=audit.values(order, *_TOLD),
        reason=order.reason,
    )
    return order


@transaction.atomic
def withdraw_feeding_order(
    *, order: FeedingOrder, reason: str, by: User | None, at: datetime
) -> FeedingOrder:
    """Take an order back; from today on the animal is fed by its profile again.

    Nights that ended before keep having been judged by it.

    Args:
        order: one that was not withdrawn yet.
        reason: why.
        by: the person.
        at: now.

    Raises:
        FeedingOrderError: no reason, or it was withdrawn already.
    """
    _check_reason(reason)
    changed = FeedingOrder.objects.filter(
        pk=order.pk, withdrawn_at__isnull=True
    ).update(withdrawn_at=at)
    if not changed:
        raise FeedingOrderError("This order was withdrawn already.")
    order.withdrawn_at = at
    audit.record(
        order,
        verb="withdraw_feeding_order",
        by=by,
        at=at,
        before=audit.values(order, *_TOLD),
        after=audit.values(order, "withdrawn_at"),
        reason=reason.strip(),
    )
    return order


def _check_reason(reason: str) -> None:
    if not reason.strip():
        raise FeedingOrderError(
            "Say why, and on whose word: whoever feeds it must know.",
            fields={"reason": "not blank"},
        )


def _check_alone(order: FeedingOrder) -> None:
    other = FeedingOrder.objects.filter(
        animal=order.animal,
        withdrawn_at__isnull=True,
        from_on__lte=order.until_on,
        until_on__gte=order.from_on,
    ).first()
    if other is not None:
        raise FeedingOrderError(
            f"Another order ({other.kind}) holds from {other.from_on:%d %b %Y} to "
            f"{other.until_on:%d %b %Y}. Withdraw it first, or choose other days.",
            fields={"from_on": f"later than {other.until_on}"},
        )
