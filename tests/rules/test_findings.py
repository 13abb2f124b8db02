"""How nights fold into findings."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.findings import (
    Match,
    Spell,
    Verdict,
    fold,
    match,
    room_of_key,
)

FIRST = date(2026, 3, 1)
LETTERS = {"S": Verdict.SEEN, "-": Verdict.NOT_SEEN, "?": Verdict.UNDECIDED}


def nights(letters: str, *, first: date = FIRST) -> list[tuple[date, Verdict]]:
    """One letter a night; a blank is a night that was not reviewed."""
    return [
        (first + timedelta(days=i), LETTERS[c])
        for i, c in enumerate(letters)
        if c != " "
    ]


def spell(opened: int, last: int, closed: int | None, seen: int) -> Spell:
    def day(n: int) -> date:
        return FIRST + timedelta(days=n)

    return Spell(day(opened), day(last), None if closed is None else day(closed), seen)


@pytest.mark.parametrize(
    ("letters", "expected"),
    [
        ("", ()),
        ("---", ()),
        ("?", ()),
        ("S", (spell(0, 0, None, 1),)),
        ("SS", (spell(0, 1, None, 2),)),
        ("S-", (spell(0, 0, 1, 1),)),
        ("S?", (spell(0, 0, None, 1),)),
        ("S?S-", (spell(0, 2, 3, 2),)),
        ("?S", (spell(1, 1, None, 1),)),
        ("S  S", (spell(0, 3, None, 2),)),
        ("S  -", (spell(0, 0, 3, 1),)),
        ("S-S", (spell(0, 0, 1, 1), spell(2, 2, None, 1))),
    ],
)
def test_fold_follows_the_nights(letters: str, expected: tuple[Spell, ...]) -> None:
    assert fold(nights(letters)) == expected


@given(st.text("S-? ", max_size=30), st.integers(0, 30))
def test_fold_night_by_night_equals_fold_at_once(letters: str, cut: int) -> None:
    early, late = letters[:cut], letters[cut:]
    first = fold(nights(early))
    still_open = first[-1] if first and first[-1].closed_on is None else None
    closed = first[:-1] if still_open else first

    later = fold(
        nights(late, first=FIRST + timedelta(days=len(early))), start=still_open
    )

    assert closed + later == fold(nights(letters))


@given(st.text("S-? ", max_size=30))
def test_fold_counts_every_seen_night_once(letters: str) -> None:
    spells = fold(nights(letters))

    assert sum(s.nights_seen for s in spells) == letters.count("S")
    assert all(s.closed_on is not None for s in spells[:-1])


def test_match_keeps_a_finding_whose_first_night_moved() -> None:
    recorded = [spell(3, 6, None, 4)]

    assert match(recorded, [spell(1, 6, None, 6)]) == Match(
        kept=((0, spell(1, 6, None, 6)),), added=(), withdrawn=()
    )


def test_match_splits_one_finding_into_two() -> None:
    recorded = [spell(0, 6, None, 7)]

    result = match(recorded, [spell(0, 2, 3, 3), spell(4, 6, None, 3)])

    assert result == Match(
        kept=((0, spell(0, 2, 3, 3)),), added=(spell(4, 6, None, 3),), withdrawn=()
    )


def test_match_withdraws_what_is_no_longer_seen() -> None:
    assert match([spell(0, 0, None, 1)], []) == Match((), (), (0,))


@pytest.mark.parametrize(
    ("key", "room"),
    [
        ("gut_load_missed:room:12:feeder-roaches", 12),
        ("gut_load_missed:room:2", 2),
        ("care_unrecorded:site:12", None),
        ("misting_missed:enclosure:12:room:3", None),
        ("unheard of", None),
    ],
)
def test_a_key_tells_which_room_it_is_about(key: str, room: int | None) -> None:
    assert room_of_key(key) == room
