"""Places of an egg box by their names: column letter and row number, "B3"."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from core.errors import DomainError

MOST_LINES = len(ascii_uppercase)
_DASH = re.compile(r"\s*[-–—−]\s*")
_ONE = re.compile(r"([A-Z])\s*(\d{1,3})")
_ROWS = re.compile(r"ROWS?\s*(\d{1,3})(?:-(\d{1,3}))?")
_COLUMNS = re.compile(r"COLUMNS?\s*([A-Z])(?:-([A-Z]))?")


class PlacesError(DomainError):
    """Places that a box does not have, or that nobody can read."""

    code = "places_refused"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """One place: the row from 1, from the back; the column from 1, which is A."""

    row: int
    column: int

    @property
    def label(self) -> str:
        """Return how it is called: `B3`, the third row of column B."""
        return f"{ascii_uppercase[self.column - 1]}{self.row}"


def all_places(*, rows: int, columns: int) -> tuple[Place, ...]:
    """Return every place of a box, row after row from the back."""
    return tuple(
        Place(row, column)
        for row in range(1, rows + 1)
        for column in range(1, columns + 1)
    )


def free_places(
    taken: Collection[Place], *, rows: int, columns: int
) -> tuple[Place, ...]:
    """Return the places where no egg lies, row after row from the back."""
    gone = set(taken)
    return tuple(p for p in all_places(rows=rows, columns=columns) if p not in gone)


def parse_places(text: str, *, rows: int, columns: int) -> tuple[Place, ...]:
    """Return the places that a text names.

    Args:
        text: "B3"; "A1-C3", all within two corners; "rows 1-3" or "row 2"; "column B"
            or "columns A-C"; "all"; several of these with commas between. Large and
            small letters are the same, and so are a hyphen and a dash.
        rows: how many the box has, 1 to 26.
        columns: how many the box has, 1 to 26.

    Returns:
        Each place once, in the order in which they are named; within a part row
        after row from the back.

    Raises:
        PlacesError: a part cannot be read, or names a place that the box does not
            have; the sentence says which the box has.
    """
    parts = [part.strip() for part in text.replace(";", ",").split(",")]
    named = [part for part in parts if part]
    if not named:
        raise _refused(
            "No place is named. ", rows, columns, "Name some, such as B3 or rows 1-3."
        )
    return tuple(dict.fromkeys(p for part in named for p in _part(part, rows, columns)))


def format_places(places: Sequence[Place], *, rows: int, columns: int) -> str:
    """Return the shortest usual text that names some places; see `parse_places`.

    Args:
        places: of the box; the order says nothing.
        rows: how many the box has.
        columns: how many the box has.

    Returns:
        "all", "rows 1-3, A4-C4, E4"; "" for none. Read again it names the same places.
    """
    wanted = set(places)
    if wanted and wanted == set(all_places(rows=rows, columns=columns)):
        return "all"
    whole = [
        row
        for row in range(1, rows + 1)
        if all(Place(row, column) in wanted for column in range(1, columns + 1))
    ]
    parts = [
        (first, f"row {first}" if first == last else f"rows {first}-{last}")
        for first, last in _runs(whole)
    ]
    for row in sorted({p.row for p in wanted} - set(whole)):
        inside = sorted(p.column for p in wanted if p.row == row)
        for first, last in _runs(inside):
            one, other = Place(row, first).label, Place(row, last).label
            parts.append((row, one if first == last else f"{one}-{other}"))
    return ", ".join(text for _, text in sorted(parts, key=lambda part: part[0]))


def _runs(numbers: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Yield the first and last of numbers that follow on one another."""
    start = 0
    for place, number in enumerate(numbers):
        if place + 1 == len(numbers) or numbers[place + 1] != number + 1:
            yield numbers[start], number
            start = place + 1


def _part(part: str, rows: int, columns: int) -> tuple[Place, ...]:
    text = _DASH.sub("-", part.upper())
    if text == "ALL":
        return all_places(rows=rows, columns=columns)
    if found := _ROWS.fullmatch(text):
        first, last = int(found[1]), int(found[2] or found[1])
        corners = Place(first, 1), Place(last, columns)
    elif found := _COLUMNS.fullmatch(text):
        one, other = found[1], found[2] or found[1]
        corners = Place(1, _column(one)), Place(rows, _column(other))
    else:
        one, dash, other = text.partition("-")
        ends = (one, other if dash else one)
        first_corner, last_corner = (_corner(part, e, rows, columns) for e in ends)
        corners = first_corner, last_corner
    _check(part, corners, rows, columns)
    return _within(*corners)


def _corner(part: str, text: str, rows: int, columns: int) -> Place:
    found = _ONE.fullmatch(text)
    if found is None:
        raise _refused(
            f"{part!r} names no place. ",
            rows,
            columns,
            "Name places as B3, A1-C3, rows 1-3, column B or all.",
        )
    return Place(int(found[2]), _column(found[1]))


def _column(letter: str) -> int:
    return ascii_uppercase.index(letter) + 1


def _check(part: str, corners: tuple[Place, Place], rows: int, columns: int) -> None:
    if any(not (1 <= p.row <= rows and 1 <= p.column <= columns) for p in corners):
        raise _refused(
            f"The box has no {part}. ", rows, columns, "Name places within these."
        )


def _within(one: Place, other: Place) -> tuple[Place, ...]:
    top, bottom = sorted((one.row, other.row))
    left, right = sorted((one.column, other.column))
    return tuple(
        Place(row, column)
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    )


def _refused(before: str, rows: int, columns: int, after: str) -> PlacesError:
    last = Place(rows, columns)
    grid = (
        f"It has {rows} {'row' if rows == 1 else 'rows'} and {columns} "
        f"{'column' if columns == 1 else 'columns'}, A1 to {last.label}. "
    )
    return PlacesError(
        f"{before}{grid}{after}", fields={"places": f"within A1 to {last.label}"}
    )
