"""Copies of a row, as many as wanted at the price of one."""

from datetime import date, datetime, timedelta
from typing import Any

from django.db import IntegrityError, models, transaction


def copy_newest(model: type[models.Model], times: int) -> bool:
    """Copy the newest row of a model; say whether its constraints allow that.

    What has to be unique counts up in each copy. A row that is unique by what it
    refers to, such as a death by its animal, cannot be copied.
    """
    row = model._default_manager.order_by("-pk").first()
    counted = [_countable(model, names) for names in _unique(model)]
    if row is None or None in counted:
        return False
    fields = [f for f in model._meta.concrete_fields if not f.primary_key]
    values = {f.attname: getattr(row, f.attname) for f in fields}
    values |= {f.attname: None for f in fields if f.one_to_one and f.null}
    try:
        with transaction.atomic():
            model._default_manager.bulk_create(
                model(**_nth(values, counted, n)) for n in range(1, times + 1)
            )
    except IntegrityError:
        return False
    return True


def _unique(model: type[models.Model]) -> list[tuple[str, ...]]:
    own = [
        (field.name,)
        for field in model._meta.concrete_fields
        if field.unique
        and not field.primary_key
        and not (field.one_to_one and field.null)
    ]
    together = [
        constraint.fields
        for constraint in model._meta.constraints
        if isinstance(constraint, models.UniqueConstraint)
    ]
    return [*own, *together]


def _countable(model: type[models.Model], names: tuple[str, ...]) -> str | None:
    for name in names:
        field = model._meta.get_field(name)
        if not field.is_relation and not getattr(field, "choices", None):
            return name
    return None


def _nth(values: dict[str, Any], counted: list[Any], n: int) -> dict[str, Any]:
    return values | {name: _later(values[name], n) for name in dict.fromkeys(counted)}


def _later(value: Any, n: int) -> Any:
    match value:
        case datetime():
            return value + timedelta(minutes=1_000 + n)
        case date():
            return value + timedelta(days=n)
        case int():
            return value + n
    return f"{value}-{n}"[-20:]
