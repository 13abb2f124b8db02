"""In which incubator a group of eggs was, from laying on."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from clutches.rules.facts import BoxSpell


@dataclass(frozen=True, slots=True, order=True)
class Leg:
    """From when until when, in epoch seconds, something was at one place.

    Attributes:
        place: key of a box, or of an incubator.
        until_s: None: still.
    """

    from_s: int
    until_s: int | None
    place: int


Way = tuple[Leg, ...]


def through_boxes(boxes: Sequence[Leg], stays: Mapping[int, Sequence[Leg]]) -> Way:
    """Return in which incubators an egg was, by the boxes in which it lay.

    Args:
        boxes: where it lay, in any order, none overlapping.
        stays: where each box stood, by box; one that is absent stood nowhere.

    Returns:
        In order, with gaps where it was in no incubator.
    """
    found = []
    for lay in boxes:
        for stood in stays.get(lay.place, ()):
            begin = max(lay.from_s, stood.from_s)
            end = _earlier(lay.until_s, stood.until_s)
            if end is None or end > begin:
                found.append(Leg(begin, end, stood.place))
    return tuple(sorted(found, key=lambda leg: (leg.from_s, leg.place)))


def majority_spells(
    ways: Mapping[Way, int], *, from_s: int, until_s: int
) -> tuple[BoxSpell, ...]:
    """Return where most of a group's eggs were, without gaps.

    Args:
        ways: in which incubators eggs were, and how many eggs went each way.
        from_s: epoch second of the day of laying's beginning.
        until_s: epoch second at which it ends; a spell that still held then has no
            end.

    Returns:
        In order from `from_s` on. Where as many were in two places, the incubator
        with the lower key; one goes before none.

    Source:
        House rule, no source.
    """
    if until_s <= from_s:
        return ()
    edges = {from_s, until_s}
    for way in ways:
        for leg in way:
            edges.update(_inside(leg, from_s, until_s))
    ordered = sorted(edges)
    spells: list[tuple[int | None, int, int]] = []
    for begin, end in pairwise(ordered):
        most = _most(ways, begin)
        if spells and spells[-1][0] == most:
            spells[-1] = (most, spells[-1][1], end)
        else:
            spells.append((most, begin, end))
    return tuple(
        BoxSpell(place, begin, None if end == until_s else end)
        for place, begin, end in spells
    )


def _most(ways: Mapping[Way, int], at_s: int) -> int | None:
    counts: dict[int | None, int] = {}
    for way, eggs in ways.items():
        place = _place_at(way, at_s)
        counts[place] = counts.get(place, 0) + eggs
    return min(counts, key=lambda p: (-counts[p], p is None, p or 0), default=None)


def _place_at(way: Iterable[Leg], at_s: int) -> int | None:
    for leg in way:
        if leg.from_s <= at_s and (leg.until_s is None or at_s < leg.until_s):
            return leg.place
    return None


def _inside(leg: Leg, from_s: int, until_s: int) -> Iterable[int]:
    ends = (leg.from_s, until_s if leg.until_s is None else leg.until_s)
    return (min(max(end, from_s), until_s) for end in ends)


def _earlier(one: int | None, other: int | None) -> int | None:
    if one is None or other is None:
        return other if one is None else one
    return min(one, other)
