"""Places of a box: read, written, and refused with the size of the grid."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.boxes.places import (
    Place,
    PlacesError,
    all_places,
    format_places,
    free_places,
    parse_places,
)


def labels(text: str) -> list[str]:
    """Return what a text names in a box of 4 rows and 3 columns."""
    return [p.label for p in parse_places(text, rows=4, columns=3)]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("A1", ["A1"]),
        (" b3 ", ["B3"]),
        ("B 3", ["B3"]),
        ("A1-C1", ["A1", "B1", "C1"]),
        ("A1-B2", ["A1", "B1", "A2", "B2"]),
        ("b2–a1", ["A1", "B1", "A2", "B2"]),
        ("row 2", ["A2", "B2", "C2"]),
        ("rows 3 – 4", ["A3", "B3", "C3", "A4", "B4", "C4"]),
        ("Rows 2-1", ["A1", "B1", "C1", "A2", "B2", "C2"]),
        ("column B", ["B1", "B2", "B3", "B4"]),
        ("columns b-c", ["B1", "C1", "B2", "C2", "B3", "C3", "B4", "C4"]),
        ("C4, A1, C4", ["C4", "A1"]),
        ("row 1; A2,", ["A1", "B1", "C1", "A2"]),
        ("row 1, A1", ["A1", "B1", "C1"]),
    ],
)
def test_a_text_names_places(text: str, named: list[str]) -> None:
    assert labels(text) == named


def test_all_names_every_place_once() -> None:
    named = parse_places("ALL", rows=4, columns=3)

    assert named == all_places(rows=4, columns=3)
    assert (len(named), named[0], named[-1]) == (12, Place(1, 1), Place(4, 3))


@pytest.mark.parametrize(
    "text", ["D1", "A5", "A0", "A1-D1", "row 5", "rows 1-5", "column D", "columns A-D"]
)
def test_a_place_that_the_box_has_not_is_refused_with_its_size(text: str) -> None:
    with pytest.raises(PlacesError) as caught:
        labels(f"A1, {text}")

    assert caught.value.sentence == (
        f"The box has no {text}. It has 4 rows and 3 columns, A1 to C4. Name places "
        "within these."
    )
    assert caught.value.fields == {"places": "within A1 to C4"}


@pytest.mark.parametrize(
    "text", ["", " , ", "3B", "A", "12", "rows", "left", "A1-", "-A1"]
)
def test_what_nobody_can_read_is_refused_with_what_can_be_read(text: str) -> None:
    with pytest.raises(
        PlacesError, match=r"A1 to C4\. Name .*such as B3|Name places as B3"
    ):
        labels(text)


def test_a_box_of_one_place_is_told_in_the_singular() -> None:
    with pytest.raises(PlacesError, match="It has 1 row and 1 column, A1 to A1"):
        parse_places("B1", rows=1, columns=1)


@pytest.mark.parametrize(
    ("named", "text"),
    [
        ("", ""),
        ("all", "all"),
        ("row 1", "row 1"),
        ("A1, B1, C1, row 2", "rows 1-2"),
        ("C4, A1", "A1, C4"),
        ("row 1, A2-B2, row 3, C4", "row 1, A2-B2, row 3, C4"),
        ("A2, C2", "A2, C2"),
    ],
)
def test_places_are_written_shortly(named: str, text: str) -> None:
    places = parse_places(named, rows=4, columns=3) if named else ()

    assert format_places(places, rows=4, columns=3) == text


def test_free_places_are_those_where_nothing_lies() -> None:
    taken = parse_places("rows 1-3, B4", rows=4, columns=3)

    assert [p.label for p in free_places(taken, rows=4, columns=3)] == ["A4", "C4"]


@st.composite
def boxes(draw: st.DrawFn) -> tuple[int, int, frozenset[Place]]:
    rows, columns = draw(st.integers(1, 26)), draw(st.integers(1, 26))
    places = st.builds(Place, st.integers(1, rows), st.integers(1, columns))
    return rows, columns, draw(st.frozensets(places, min_size=1))


@given(boxes())
def test_what_is_written_reads_as_the_same_places(
    box: tuple[int, int, frozenset[Place]],
) -> None:
    rows, columns, places = box

    text = format_places(tuple(places), rows=rows, columns=columns)

    assert set(parse_places(text, rows=rows, columns=columns)) == places


@given(boxes())
def test_each_place_is_taken_or_free(box: tuple[int, int, frozenset[Place]]) -> None:
    rows, columns, taken = box

    free = free_places(taken, rows=rows, columns=columns)

    assert sorted([*free, *taken]) == list(all_places(rows=rows, columns=columns))


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        places = parse_places(text, rows=4, columns=3)
    except PlacesError as refusal:
        said, places = refusal.sentence, ()
    else:
        said = ""

    assert set(places) <= set(all_places(rows=4, columns=3))
    assert bool(places) is not ("4 rows and 3 columns" in said)
