"""What goes in and out: frozen structs, typed once and described once (ADR 0008).

A struct is what the handler works with, what the encoder writes and what the
OpenAPI document says, so none of the three can fall behind.
"""

from datetime import datetime
from typing import Annotated, Any, ClassVar, TypeVar

import msgspec
from django.db.models import Model
from msgspec import Meta, Struct

LARGEST_PAGE = 500

Instant = Annotated[datetime, Meta(tz=True)]
"""ISO 8601 with an offset; written in UTC."""


class Out(Struct, frozen=True, kw_only=True):
    """What is answered. Fields without words of their own borrow the model's."""

    about: ClassVar[type[Model] | None] = None


class In(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is sent; a field that nobody knows is refused."""


class Asked(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The query parameters of one address; one that nobody knows is refused."""


class Paged(Asked, frozen=True, kw_only=True):
    """The query parameters of every list; what narrows it is its filter set's."""

    cursor: Annotated[
        str | None,
        Meta(description="Where to go on: take it from `next`, it cannot be made up."),
    ] = None
    page_size: Annotated[
        int, Meta(ge=1, le=LARGEST_PAGE, description="Rows on a page.")
    ] = 100


class Ref(Out, frozen=True):
    """Something else, by its id and the code on its label."""

    id: int
    code: str


S = TypeVar("S", bound=Struct)


def from_row(row: Any, wanted: type[S]) -> S:
    """Return a struct filled from a row's attributes of the same names."""
    return msgspec.convert(row, wanted, from_attributes=True)


def ref(row: Any) -> Ref | None:
    """Return the short form of a row that has a code; None stays None."""
    return None if row is None else Ref(id=row.pk, code=row.code)
