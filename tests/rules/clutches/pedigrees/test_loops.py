"""Loops of descent, and the path that is told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.pedigrees.loops import path_back, rings, told_path


@pytest.mark.parametrize(
    ("parents", "expected"),
    [
        ({}, []),
        ({"a": ["b"], "b": ["c"]}, []),
        ({"a": ["a"]}, ["a"]),
        ({"a": ["b"], "b": ["a"]}, ["ab"]),
        ({"a": ["b"], "b": ["c"], "c": ["b"]}, ["bc"]),
        (
            {"a": ["b"], "b": ["a"], "c": ["d"], "d": ["c"], "e": ["a", "c"]},
            ["ab", "cd"],
        ),
        ({"a": ["b", "c"], "b": ["d"], "c": ["d"]}, []),
    ],
)
def test_rings(parents: dict[str, list[str]], expected: list[str]) -> None:
    ring = rings(parents)

    found = {n: {a for a, m in ring.items() if m == n} for n in set(ring.values())}
    assert sorted("".join(sorted(members)) for members in found.values()) == expected


def test_a_line_deeper_than_python_recurses_is_searched() -> None:
    parents = {str(n): [str(n + 1)] for n in range(20_000)}

    assert rings(parents) == {}
    assert len(rings({**parents, "20000": ["0"]})) == 20_001


def test_the_path_goes_over_the_parent_that_is_asked_for() -> None:
    parents = {"a": ["b", "c"], "b": ["d"], "c": ["a"], "d": ["a"]}
    ring = rings(parents)

    assert path_back("a", "b", parents=parents, ring=ring) == ("a", "b", "d", "a")
    assert path_back("a", "c", parents=parents, ring=ring) == ("a", "c", "a")


def test_a_long_path_is_cut_in_its_middle() -> None:
    assert told_path(["a", "b", "a"]) == "a ← b ← a"
    assert told_path([str(n) for n in range(15)]) == (
        "0 ← 1 ← 2 ← 3 ← 4 ← 5 ← (3 more) ← 9 ← 10 ← 11 ← 12 ← 13 ← 14"
    )


@given(
    st.dictionaries(
        st.integers(0, 9).map(str),
        st.lists(st.integers(0, 9).map(str), max_size=2),
        max_size=10,
    )
)
def test_an_animal_is_on_a_ring_exactly_where_it_is_its_own_ancestor(
    parents: dict[str, list[str]],
) -> None:
    def ancestors(animal: str) -> set[str]:
        found: set[str] = set()
        waiting = list(parents.get(animal, ()))
        while waiting:
            one = waiting.pop()
            if one not in found:
                found.add(one)
                waiting += parents.get(one, ())
        return found

    ring = rings(parents)

    assert set(ring) == {a for a in parents if a in ancestors(a)}
    for one in ring:
        for other in ring:
            together = one in ancestors(other) and other in ancestors(one)
            assert (ring[one] == ring[other]) is together
