"""Loops of descent: animals among their own ancestors, found in one pass."""

from collections import deque
from collections.abc import Iterable, Mapping, Sequence

Parents = Mapping[str, Sequence[str]]
"""Of each animal the parents that are given, by label; absent: none."""
LONGEST_PATH = 12
"""So many names of a path are told; a longer one is cut in its middle."""


def rings(parents: Parents) -> dict[str, int]:
    """Return the animals that descend from themselves, and which go together.

    Args:
        parents: of each animal; their own order does not matter.

    Returns:
        For each animal on a loop the number of its ring: animals of one ring descend
        from each other. Animals on no loop are not in it.

    Source:
        tarjan-1972: strongly connected components.
    """
    search = _Search(parents)
    for animal in parents:
        if animal not in search.index:
            search.run(animal)
    return search.ring


class _Search:
    """Tarjan's search with a stack of its own: pedigrees are deeper than Python's."""

    def __init__(self, parents: Parents) -> None:
        self.parents = parents
        self.index: dict[str, int] = {}
        self.low: dict[str, int] = {}
        self.open: list[str] = []
        self.is_open: set[str] = set()
        self.ring: dict[str, int] = {}

    def run(self, start: str) -> None:
        """Search all that an animal descends from."""
        self._enter(start)
        work = [(start, iter(self.parents.get(start, ())))]
        while work:
            animal, rest = work[-1]
            parent = next(rest, None)
            if parent is None:
                work.pop()
                self._leave(animal)
                if work:
                    child = work[-1][0]
                    self.low[child] = min(self.low[child], self.low[animal])
            elif parent not in self.index:
                self._enter(parent)
                work.append((parent, iter(self.parents.get(parent, ()))))
            elif parent in self.is_open:
                self.low[animal] = min(self.low[animal], self.index[parent])

    def _enter(self, animal: str) -> None:
        self.index[animal] = self.low[animal] = len(self.index)
        self.open.append(animal)
        self.is_open.add(animal)

    def _leave(self, animal: str) -> None:
        if self.low[animal] != self.index[animal]:
            return
        members = []
        while True:
            member = self.open.pop()
            self.is_open.discard(member)
            members.append(member)
            if member == animal:
                break
        if len(members) > 1 or animal in self.parents.get(animal, ()):
            self.ring |= dict.fromkeys(members, self.index[animal])


def path_back(
    young: str, parent: str, *, parents: Parents, ring: Mapping[str, int]
) -> tuple[str, ...]:
    """Return the shortest way up from an animal, over one parent, to itself.

    Args:
        young: an animal on a loop.
        parent: its parent on the same loop.
        parents: of each animal.
        ring: as `rings` returns it.

    Returns:
        The animal, the parent, …, the animal again; of several ways of one length
        the first by the alphabet.
    """
    came: dict[str, str] = {parent: young}
    waiting = deque([parent])
    while waiting and young not in came:
        current = waiting.popleft()
        for above in sorted(_within(current, parents, ring)):
            if above not in came:
                came[above] = current
                waiting.append(above)
    way, current = [young], came[young]
    while current != young:
        way.append(current)
        current = came[current]
    return (young, *way[:0:-1], young)


def _within(animal: str, parents: Parents, ring: Mapping[str, int]) -> Iterable[str]:
    own = ring.get(animal)
    return (p for p in parents.get(animal, ()) if ring.get(p) == own)


def told_path(names: Sequence[str]) -> str:
    """Return a path in words, each animal before its parent.

    Args:
        names: as people say them; the middle of a long one is counted.
    """
    if len(names) > LONGEST_PATH:
        half = LONGEST_PATH // 2
        between = f"({len(names) - 2 * half} more)"
        names = [*names[:half], between, *names[-half:]]
    return " ← ".join(names)
