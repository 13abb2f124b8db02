"""Lists that are taken whole or not at all, and which rows stand against that."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from core.errors import DomainError


@dataclass(frozen=True, slots=True)
class RowRefusal:
    """One row of a list that cannot be taken as it is.

    Attributes:
        place: in the list as it was given, from 0.
        code: the refusal's, stable.
        sentence: which value, why not, what would be accepted.
    """

    place: int
    code: str
    sentence: str


class RowResult(Protocol):
    """What became of one row."""

    @property
    def code(self) -> str:
        """The refusal's code; "": it was taken."""

    @property
    def sentence(self) -> str:
        """Why it was refused, or ""."""


class RowsRefusedError(DomainError):
    """All rows or none were to be taken, and some cannot be: none was."""

    code = "rows_refused"

    def __init__(self, refusals: Sequence[RowRefusal], *, rows: int) -> None:
        """Keep which rows it is about.

        Args:
            refusals: at least one, in their order.
            rows: how many there are in all.
        """
        first = refusals[0]
        super().__init__(
            f"Nothing was stored: {len(refusals):,} of {rows:,} rows cannot be taken, "
            f"and all or none were to be. The first is row {first.place}, counted from "
            f"0: {first.sentence}",
        )
        self.refusals = tuple(refusals)


def check_all_taken(
    results: Sequence[RowResult], *, unread: Sequence[RowRefusal] = ()
) -> None:
    """Refuse a list of which not every row was taken.

    Args:
        results: of the rows that could be read, in their order.
        unread: the rows that could not be, by their places; the results fill the
            places that these leave.

    Raises:
        RowsRefusedError: a row was refused, or could not be read. Raised inside a
            transaction it undoes what was stored of the others.
    """
    rows = len(results) + len(unread)
    missing = {refusal.place for refusal in unread}
    places = [place for place in range(rows) if place not in missing]
    refused = [
        RowRefusal(place, result.code, result.sentence)
        for place, result in zip(places, results, strict=True)
        if result.code
    ]
    if refused or unread:
        everyone = sorted((*refused, *unread), key=lambda refusal: refusal.place)
        raise RowsRefusedError(everyone, rows=rows)
