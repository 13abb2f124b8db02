"""Lists that are taken whole or not at all."""

from dataclasses import dataclass

import pytest

from core.row_refusals import RowRefusal, RowsRefusedError, check_all_taken


@dataclass(frozen=True)
class Result:
    code: str = ""
    sentence: str = ""


TAKEN = Result()
HEAVY = Result("too_heavy", "1 t is too heavy.")


@pytest.mark.parametrize("results", [[], [TAKEN], [TAKEN, TAKEN]])
def test_a_list_of_which_every_row_was_taken_passes(results: list[Result]) -> None:
    check_all_taken(results)


@pytest.mark.parametrize(
    ("results", "unread", "refused"),
    [
        ([HEAVY], [], [(0, "too_heavy")]),
        ([TAKEN, HEAVY, TAKEN], [], [(1, "too_heavy")]),
        # The rows that could be read stand at 1, 2 and 4.
        (
            [TAKEN, HEAVY, HEAVY],
            [RowRefusal(0, "unreadable", "a"), RowRefusal(3, "unreadable", "b")],
            [(0, "unreadable"), (2, "too_heavy"), (3, "unreadable"), (4, "too_heavy")],
        ),
        ([TAKEN], [RowRefusal(1, "unreadable", "b")], [(1, "unreadable")]),
    ],
)
def test_each_row_that_was_not_taken_is_named_by_its_place(
    results: list[Result], unread: list[RowRefusal], refused: list[tuple[int, str]]
) -> None:
    with pytest.raises(RowsRefusedError) as caught:
        check_all_taken(results, unread=unread)

    found = [(refusal.place, refusal.code) for refusal in caught.value.refusals]
    assert found == refused


def test_the_sentence_says_how_many_and_the_first() -> None:
    with pytest.raises(RowsRefusedError) as caught:
        check_all_taken([TAKEN, HEAVY, HEAVY])

    assert caught.value.sentence == (
        "Nothing was stored: 2 of 3 rows cannot be taken, and all or none were to be. "
        "The first is row 1, counted from 0: 1 t is too heavy."
    )
