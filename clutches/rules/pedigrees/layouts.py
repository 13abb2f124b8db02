"""Where the boxes of a pedigree stand: the animal at the left, ancestors to the right."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clutches.rules.pedigrees.ancestry import Place

WIDE, GAP, APART, MARGIN = 186, 26, 8, 8
LINE, PADDING = 15, 7
UNKNOWN_LINES, KIN_LINES, MOST_CANDIDATES = 1, 2, 4


@dataclass(frozen=True, slots=True)
class Box:
    """One place with where it stands; `y` is its top."""

    place: Place
    x: float
    y: float
    height: float

    @property
    def middle(self) -> float:
        """Return how far down its middle is."""
        return self.y + self.height / 2


@dataclass(frozen=True, slots=True)
class Layout:
    """All boxes, which belong together by their numbers, and the size of it all."""

    boxes: tuple[Box, ...]
    joints: tuple[tuple[int, int], ...]
    """(young, parent) by their numbers in `boxes`."""
    width: float
    height: float


def lay_out(places: Sequence[Place], *, extra_lines: int = 0) -> Layout:
    """Place the boxes so that none covers another and parents frame their young.

    Args:
        places: as `ancestry.places_of` returns them; the first is the animal.
        extra_lines: more lines in the first box than in others.
    """
    numbers = {place.path: number for number, place in enumerate(places)}
    above: list[list[int]] = [[] for _ in places]
    for path, number in numbers.items():
        if path:
            above[numbers[path[:-1]]].append(number)
    heights = [_height(place) for place in places]
    heights[0] += extra_lines * LINE
    needs = _needs(above, heights)
    tops = dict(_tops(0, MARGIN, above, needs, heights))
    boxes = tuple(
        Box(
            place,
            MARGIN + len(place.path) * (WIDE + GAP),
            tops[number],
            heights[number],
        )
        for number, place in enumerate(places)
    )
    columns = max(len(place.path) for place in places) + 1
    return Layout(
        boxes=boxes,
        joints=tuple((young, one) for young, ones in enumerate(above) for one in ones),
        width=2 * MARGIN + columns * WIDE + (columns - 1) * GAP,
        height=2 * MARGIN + needs[0],
    )


def lines_of(place: Place) -> int:
    """Return how many lines of words a box has."""
    if place.kin is not None:
        return KIN_LINES
    told = len(place.candidates) + bool(place.missing)
    return 1 + min(told, MOST_CANDIDATES) if place.candidates else UNKNOWN_LINES


def _height(place: Place) -> float:
    return lines_of(place) * LINE + PADDING


def _needs(above: Sequence[Sequence[int]], heights: Sequence[float]) -> list[float]:
    """Return how high each place with all above it is; those above come later."""
    needs = list(heights)
    for number in range(len(above) - 1, -1, -1):
        parents = above[number]
        stacked = sum(needs[one] for one in parents) + APART * max(len(parents) - 1, 0)
        needs[number] = max(heights[number], stacked)
    return needs


def _tops(
    number: int,
    top: float,
    above: Sequence[Sequence[int]],
    needs: Sequence[float],
    heights: Sequence[float],
) -> Iterator[tuple[int, float]]:
    yield number, top + (needs[number] - heights[number]) / 2
    parents = above[number]
    stacked = sum(needs[one] for one in parents) + APART * max(len(parents) - 1, 0)
    below = top + (needs[number] - stacked) / 2
    for one in parents:
        yield from _tops(one, below, above, needs, heights)
        below += needs[one] + APART
