"""A drawn pedigree: nothing covers anything, and everything is said in words."""

from datetime import date
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clutches.rules.lineage.lineages import Lineage, LineageRow, build_lineage
from clutches.rules.pedigrees.ancestry import (
    Candidate,
    Kin,
    Place,
    ids_within,
    places_of,
)
from clutches.rules.pedigrees.drawing import draw_pedigree, size_of
from clutches.rules.pedigrees.layouts import WIDE, Layout, lay_out
from clutches.rules.pedigrees.records import ParentRole
from clutches.rules.pedigrees.words import (
    Inbreeding,
    told_hatched,
    told_inbreeding,
    told_path,
    told_place,
    told_share,
)
from husbandry.rules.vocabulary import DatePrecision, Sex

DAM, SIRE = ParentRole.DAM, ParentRole.SIRE
SVG = "{http://www.w3.org/2000/svg}"


def animal(
    id: int,  # noqa: A002 - the field's name
    sex: Sex = Sex.UNKNOWN,
    on: date | None = None,
    precision: DatePrecision = DatePrecision.UNKNOWN,
    name: str = "",
) -> Kin:
    return Kin(id, f"V-{id}", name, sex, on, precision)


def everyone(lineage: Lineage) -> dict[int, Kin]:
    return {id_: animal(id_) for id_ in lineage.ids}


def told(lineage: Lineage, root: int, generations: int) -> list[str]:
    places = places_of(lineage, root, generations=generations, kin=everyone(lineage))
    return [f"{told_path(p.path)}: {told_place(p)} {p.mark}".strip() for p in places]


FULL_SIBS = build_lineage(
    [
        LineageRow(3, 1, ((2, 1.0),)),
        LineageRow(4, 1, ((2, 1.0),)),
        LineageRow(5, 3, ((4, 1.0),)),
    ]
)


def test_each_way_up_is_a_place_and_the_same_animal_one_letter() -> None:
    assert told(FULL_SIBS, 5, 2) == [
        "itself: V-5",
        "dam: V-3",
        "dam's dam: V-1 A",
        "dam's sire: V-2 B",
        "sire: V-4",
        "sire's dam: V-1 A",
        "sire's sire: V-2 B",
    ]
    assert told(FULL_SIBS, 5, 0) == ["itself: V-5"]
    assert told(FULL_SIBS, 1, 6) == ["itself: V-1", "dam: not known", "sire: not known"]


def test_candidates_are_told_the_likeliest_first_and_what_is_missing() -> None:
    lineage = build_lineage([LineageRow(9, 1, ((4, 0.25), (3, 0.25), (2, 0.3)))])

    assert told(lineage, 9, 3)[-1] == (
        "sire: one of: V-2 30 %, V-3 25 %, V-4 25 %, not known 20 %"
    )
    assert told(build_lineage([LineageRow(9, None, ((2, 1.0),))]), 9, 1)[-1] == (
        "sire: V-2"
    )


def test_the_animals_to_be_read_are_those_that_are_shown() -> None:
    lineage = build_lineage(
        [LineageRow(9, 8, ((2, 0.5), (3, 0.5))), LineageRow(8, 7), LineageRow(7, 6)]
    )

    assert ids_within(lineage, 9, generations=0) == {9}
    assert ids_within(lineage, 9, generations=1) == {9, 8, 2, 3}
    assert ids_within(lineage, 9, generations=6) == {9, 8, 7, 6, 2, 3}


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        (Inbreeding(0.125, at_least=True), "F at least 0.125"),
        (Inbreeding(0.0, at_least=False), "F 0.000"),
        (
            Inbreeding(0.0625, at_least=True, expected=True),
            "F at least 0.062 on average over the candidate sires",
        ),
    ],
)
def test_inbreeding_is_told_with_its_limits(found: Inbreeding, expected: str) -> None:
    assert told_inbreeding(found) == expected


@pytest.mark.parametrize(
    ("precision", "expected"),
    [
        (DatePrecision.DAY, "31 May 2024"),
        (DatePrecision.MONTH, "May 2024"),
        (DatePrecision.YEAR, "2024"),
    ],
)
def test_a_hatch_date_is_told_as_it_is_known(
    precision: DatePrecision, expected: str
) -> None:
    assert (
        told_hatched(animal(1, on=date(2024, 5, 31), precision=precision)) == expected
    )
    assert told_hatched(animal(1)) == ""


def test_a_small_share_is_not_told_as_none() -> None:
    assert [told_share(s) for s in (0.5, 0.005, 0.001, 1.0)] == [
        "50 %",
        "less than 1 %",
        "less than 1 %",
        "100 %",
    ]


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text")]


PLACES = (
    Place((), animal(1, Sex.FEMALE, date(2024, 5, 31), DatePrecision.DAY, "Juno & Co")),
    Place((DAM,), animal(2, name="of a name that is longer than any box")),
    Place((DAM, DAM), None),
    Place((DAM, SIRE), animal(3, Sex.MALE), mark="A"),
    Place((SIRE,), None, tuple(Candidate(animal(n), 0.2) for n in range(101, 106))),
)


def test_a_box_says_in_words_what_its_shape_shows() -> None:
    svg = draw_pedigree(PLACES, Inbreeding(0.25, at_least=True))

    root = ET.fromstring(svg)
    assert root.find(f"{SVG}title").text == (  # type: ignore[union-attr] # it is there
        "Pedigree of V-1 Juno & Co: 2 generations of ancestors."
    )
    assert texts(svg) == [
        "V-1 Juno & Co",
        "female, 31 May 2024",
        "F at least 0.250",
        "V-2 of a name that is…",
        "sex not known",
        "dam not known",
        "V-3",
        "male, same: A",
        "sire is one of:",
        "V-101 20 %",
        "V-102 20 %",
        "V-103 20 %",
        "and 2 more",
    ]
    assert svg.count('stroke-dasharray="2 4"') == 2
    assert "style=" not in svg
    width, height = size_of(PLACES, Inbreeding(0.25, at_least=True))
    assert (root.get("width"), root.get("height")) == (str(width), str(height))


def test_without_a_coefficient_nothing_is_said_of_it() -> None:
    assert "F " not in "".join(texts(draw_pedigree(PLACES, None)))


def overlapping(layout: Layout) -> bool:
    return any(
        one.x == other.x
        and one.y < other.y + other.height
        and other.y < one.y + one.height
        for one, other in combinations(layout.boxes, 2)
    )


PARENTS = st.lists(
    st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(0, 2)),
    min_size=1,
    max_size=12,
)


@settings(max_examples=80)
@given(PARENTS, st.integers(1, 6))
def test_no_box_covers_another_and_all_are_inside(
    rows: list[tuple[int, int, int]], generations: int
) -> None:
    lineage = build_lineage(
        LineageRow(
            number,
            dam if dam < number else None,
            tuple(
                (s, 1 / max(many, 1))
                for s in range(sire, sire + many)
                if s < number and s != dam
            ),
        )
        for number, (dam, sire, many) in enumerate(rows, start=1)
    )
    root = lineage.ids[-1]
    places = places_of(lineage, root, generations=generations, kin=everyone(lineage))

    layout = lay_out(places, extra_lines=1)

    assert not overlapping(layout)
    assert all(
        box.x >= 0
        and box.y >= 0
        and box.x + WIDE <= layout.width
        and box.y + box.height <= layout.height + 1e-6
        for box in layout.boxes
    )
    assert len(layout.joints) == len(layout.boxes) - 1
    ET.fromstring(draw_pedigree(places, None))
