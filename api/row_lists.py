"""Lists that are sent in: a row that cannot be read does not keep the others out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import Annotated, Generic, TypeVar

import msgspec
from msgspec import Meta, Struct

from api.errors import RefusedError, RefusedRow
from api.inputs import check_days, invalid_body
from api.structs import Asked
from core.row_refusals import RowRefusal

__all__ = [
    "ListAsked",
    "RefusedRow",
    "Taken",
    "check_count",
    "refused_row",
    "take_rows",
]
R = TypeVar("R", bound=Struct)


class ListAsked(Asked, frozen=True):
    """How a list is taken."""

    all_or_none: Annotated[
        bool,
        Meta(
            description="true: store every row of a list or none; one that is refused "
            "answers 409 and names each such row in `rows`."
        ),
    ] = False


@dataclass(slots=True)
class Taken(Generic[R]):
    """The rows that can be read, with their places in what was sent."""

    rows: list[R] = field(default_factory=list)
    places: list[int] = field(default_factory=list)
    refused: list[RefusedRow] = field(default_factory=list)

    @property
    def unread(self) -> list[RowRefusal]:
        """Return the rows that cannot be read, as actions take them."""
        return [RowRefusal(row.index, row.code, row.sentence) for row in self.refused]


def take_rows(
    raw: Sequence[msgspec.Raw],
    wanted: type[R],
    *,
    check: Callable[[R], None] = check_days,
) -> Taken[R]:
    """Read each row by itself.

    Args:
        raw: rows that are JSON in UTF-8.
        wanted: what each of them is.
        check: raises RefusedError for a row that can be read but not taken.

    Raises:
        RefusedError: there are rows and not one of them can be read.
    """
    decoder, taken = msgspec.json.Decoder(wanted), Taken[R]()
    for place, text in enumerate(raw):
        try:
            row = decoder.decode(text)
            check(row)
        except msgspec.ValidationError as error:
            taken.refused.append(refused_row(place, invalid_body(error, wanted)))
        except RefusedError as refusal:
            taken.refused.append(refused_row(place, refusal))
        else:
            taken.rows.append(row)
            taken.places.append(place)
    if raw and not taken.rows:
        raise RefusedError(
            "invalid_body",
            f"None of the {len(raw):,} rows can be read. The first: "
            f"{taken.refused[0].sentence}",
        )
    return taken


def refused_row(place: int, refusal: RefusedError) -> RefusedRow:
    """Return a refusal as one about a row."""
    code = str(refusal.get_codes())
    code = "unreadable" if code == "invalid_body" else code
    return RefusedRow(index=place, code=code, sentence=str(refusal.detail))


def check_count(rows: int, *, most: int) -> None:
    """Refuse a list that is empty or too long.

    Raises:
        RefusedError: with how many are taken at once.
    """
    if not rows:
        raise RefusedError("no_rows", "There is no row in it; send at least one.")
    if rows > most:
        raise RefusedError(
            "too_many_rows",
            f"There are {rows:,} rows; at most {most:,} are taken at once. Send them "
            "in parts.",
            status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        )
