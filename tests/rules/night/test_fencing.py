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
