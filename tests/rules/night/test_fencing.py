"""One sick record is found and left out; the others are judged together."""

from collections.abc import Iterator, Sequence

import pytest

from husbandry.rules.night.fencing import fenced


def sums(many: Sequence[int]) -> Iterator[int]:
    """Say something of all of them at once; 13 cannot be judged."""
    if 13 in many:
        raise ValueError("thirteen")
    yield sum(many)


@pytest.mark.parametrize(
    ("many", "found", "failures"),
    [
        ([], [0], []),
        ([1, 2, 3], [6], []),
        ([1, 13, 3], [4], [(13, "ValueError('thirteen')")]),
        ([13], [0], [(13, "ValueError('thirteen')")]),
        ([13, 1, 2, 13], [3], [(13, "ValueError('thirteen')")] * 2),
    ],
)
def test_the_sick_one_is_named_and_the_others_are_judged_together(
    many: list[int], found: list[int], failures: list[tuple[int, str]]
) -> None:
    assert fenced(many, sums) == (found, failures)


def test_a_rule_that_fails_for_no_one_alone_is_a_fault_and_rises() -> None:
    def never_two(many: Sequence[int]) -> Iterator[int]:
        if len(many) > 1:
            raise RuntimeError("together")
        yield 1

    with pytest.raises(RuntimeError, match="together"):
        fenced([1, 2], never_two)


def test_one_sick_among_a_thousand_is_found_by_a_few_looks() -> None:
    looks = []

    def look(many: Sequence[int]) -> Iterator[int]:
        looks.append(len(many))
        return sums(many)

    _, failures = fenced([13 if n == 700 else 1 for n in range(1000)], look)

    assert [one for one, _ in failures] == [13]
    # Whole, whole again, halves down to one, and the others together.
    assert sum(looks) < 6 * 1000
