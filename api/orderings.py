"""The order of a list's rows, as it is asked, and standing behind a row in it."""

from collections.abc import Sequence
from typing import Any, TypeVar

from django.db.models import F, Model, Q, QuerySet
from django.db.models.expressions import OrderBy

from api.inputs import unreadable

M = TypeVar("M", bound=Model)
Ordering = tuple[str, ...]
"""Columns, each with `-` before it for the other way round; together unique."""


def read_ordering(text: str, *, offered: Sequence[str], usual: Ordering) -> Ordering:
    """Return the ordering that is asked for.

    Args:
        text: names with commas between them, each with `-` before it or without.
        offered: the names that may be asked for.
        usual: the list's own ordering; it goes on where what is asked leaves rows
            equal, so the answer is unique as well.

    Raises:
        RefusedError: a name is not offered, or is there twice.
    """
    asked = tuple(text.split(","))
    names = [_plain(part) for part in asked]
    if not set(names) <= set(offered) or len(set(names)) < len(names):
        raise unreadable(
            "ordering",
            text,
            "one or several of, each once and with a comma between them: "
            f"{', '.join(offered)}; a - before a name turns it round",
        )
    return (*asked, *(part for part in usual if _plain(part) not in names))


def ordered(rows: QuerySet[M], ordering: Ordering) -> QuerySet[M]:
    """Return rows in an ordering; empty values come last, either way round."""
    return rows.order_by(*(_term(rows.model, part) for part in ordering))


def after(model: type[Model], ordering: Ordering, values: Sequence[Any]) -> Q:
    """Return the condition of standing behind a row in an ordering.

    Args:
        model: of the rows.
        ordering: as `ordered` takes it.
        values: of that row, in the same places; None is an empty one.
    """
    behind, equal = Q(), Q()
    for part, value in zip(ordering, values, strict=True):
        name = _plain(part)
        if value is None:
            # Nothing comes behind an empty value but what is empty too.
            equal &= Q(**{f"{name}__isnull": True})
            continue
        way = "lt" if part.startswith("-") else "gt"
        further = Q(**{f"{name}__{way}": value})
        if _may_be_empty(model, name):
            further |= Q(**{f"{name}__isnull": True})
        behind |= equal & further
        equal &= Q(**{name: value})
    return _bound(model, ordering[0], values[0]) & behind


def _bound(model: type[Model], part: str, value: Any) -> Q:
    """Return what follows from the rest, for an index to begin at the right place."""
    name = _plain(part)
    if value is None or _may_be_empty(model, name):
        return Q()
    return Q(**{f"{name}__{'lte' if part.startswith('-') else 'gte'}": value})


def _term(model: type[Model], part: str) -> str | OrderBy:
    name = _plain(part)
    if not _may_be_empty(model, name):
        return part
    column, last = F(name), True
    return (
        column.desc(nulls_last=last) if part[0] == "-" else column.asc(nulls_last=last)
    )


def _may_be_empty(model: type[Model], name: str) -> bool:
    field = model._meta.get_field(name)  # noqa: SLF001 - public Meta API
    return bool(getattr(field, "null", False))


def _plain(part: str) -> str:
    return part.removeprefix("-")
