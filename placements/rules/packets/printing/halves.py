"""Two columns: where to divide a list so that both come out about equally long.

The page's own columns would do it as well, but WeasyPrint lays such a page out again
and again to balance them: two thirds of the time of a whole packet.
"""

from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import TypeVar

from placements.rules.packets.documents import SourceLine
from placements.rules.packets.printing.rows import NoteGroup, Row

T = TypeVar("T")
Halves = tuple[tuple[T, ...], ...]
# About how many letters a heading and the end of a line are worth.
HEADING, LINE_END = 110, 30


def divide(items: Sequence[T], length: Callable[[T], int]) -> Halves[T]:
    """Divide a list in two, in order, where the longer part is shortest.

    Args:
        items: in the order of reading.
        length: how long one is on the page, about.

    Returns:
        Two parts, the second possibly empty; nothing for an empty list.
    """
    if not items:
        return ()
    ends = list(accumulate(length(item) for item in items))
    longest = [max(end, ends[-1] - end) for end in ends]
    cut = longest.index(min(longest)) + 1
    return tuple(items[:cut]), tuple(items[cut:])


def divide_rows(rows: Sequence[Row]) -> Halves[Row]:
    """Divide rows of text."""
    return divide(rows, _row)


def divide_notes(groups: Sequence[NoteGroup]) -> Halves[NoteGroup]:
    """Divide groups of notes; a group stays together."""
    return divide(groups, lambda g: HEADING + sum(_row(n) for n in g.notes))


def divide_sources(sources: Sequence[SourceLine]) -> Halves[SourceLine]:
    """Divide the list of sources."""
    return divide(
        sources,
        lambda s: len(s.key) + len(s.title) + len(s.kind) + len(s.where) + LINE_END,
    )


def _row(row: Row) -> int:
    return len(row.label) + len(row.text) + len(row.more) + LINE_END
