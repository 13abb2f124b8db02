"""Inbreeding and kinship, held to published pedigrees and to another library."""

import json
from pathlib import Path

import numpy as np
import pytest

from clutches.rules.lineage.kinship import (
    LineageRow,
    build_lineage,
    collection_kinship,
    inbreeding_of,
    kinship_of,
    known_generations,
    lower_bounds,
)
from clutches.rules.lineage.lineages import LineageError, way_up
from tests.rules.clutches.lineage.pedigrees import id_of, inbreeding, kinship, lineage

# Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1.
MRODE = "3 2 1; 4 ? 1; 5 3 4; 6 2 5"
MRODE_RELATED = [
    [1, 0, 0.5, 0.5, 0.5, 0.25],
    [0, 1, 0.5, 0, 0.25, 0.625],
    [0.5, 0.5, 1, 0.25, 0.625, 0.5625],
    [0.5, 0, 0.25, 1, 0.625, 0.3125],
    [0.5, 0.25, 0.625, 0.625, 1.125, 0.6875],
    [0.25, 0.625, 0.5625, 0.3125, 0.6875, 1.125],
]
# A worked pedigree with an inbred common ancestor, genetic-genealogy.co.uk.
INBRED_ANCESTOR = "D A B; E A B; G C D; H E F; I G H; L I J; M I J; O K L; P M N; Q O P"
ANSWERS = json.loads(Path(__file__).with_name("sgkit_pedigrees.json").read_text())


def test_mrode_table_of_relationships() -> None:
    found = kinship_of(lineage(MRODE), [1, 2, 3, 4, 5, 6])

    assert (2 * found).tolist() == MRODE_RELATED


def test_mrode_inbreeding() -> None:
    found = lineage(MRODE)

    by_id = dict(zip(found.ids, inbreeding_of(found).tolist(), strict=True))

    assert by_id == {1: 0, 2: 0, 3: 0, 4: 0, 5: 0.125, 6: 0.125}


@pytest.mark.parametrize(
    ("pedigree", "one", "other", "expected"),
    [
        # Standard values of any textbook of quantitative genetics.
        ("C A B; D A B", "C", "D", 0.25),
        ("C A B; D A E", "C", "D", 0.125),
        ("C A B", "A", "C", 0.25),
        ("C A B; E C D", "A", "E", 0.125),
        ("C A B; D A B; F C E", "D", "F", 0.125),
        ("C A B; D A B; G C E; H D F", "G", "H", 0.0625),
        ("C A B; D A B; G C E; H D F; J G I; L H K", "J", "L", 0.015625),
        (
            "C A B; D A B; G C E; H D F; J G I; L H K; N J M; P L O",
            "N",
            "P",
            0.00390625,
        ),
        ("E A B; F A B; G C D; H C D; I E G; J F H", "I", "J", 0.125),
        ("C A B", "A", "B", 0),
    ],
    ids=[
        *("full siblings", "half siblings", "parent and young"),
        *("grandparent and grandchild", "uncle and niece", "first cousins"),
        *("second cousins", "third cousins", "double first cousins", "unrelated"),
    ],
)
def test_kinship_of_relatives(
    pedigree: str, one: str, other: str, expected: float
) -> None:
    assert kinship(pedigree, one, other) == expected


def test_generations_of_full_siblings() -> None:
    # Falconer's series: F(t) = (1 + 2 F(t-1) + F(t-2)) / 4.
    pedigree = [
        f"{10 * g + sex} {10 * (g - 1)} {10 * (g - 1) + 1}"
        for g in range(2, 12)
        for sex in (0, 1)
    ]

    found = [inbreeding(";".join(pedigree), str(10 * g)) for g in range(3, 12)]

    assert found == pytest.approx(
        [*(0.25, 0.375, 0.5, 0.59375, 0.671875), *(0.734375, 0.785156, 0.826172, 0.859375)],
        abs=5e-7,
    )  # fmt: skip


def test_backcrosses_to_one_parent() -> None:
    pedigree = "C B A; D C A; E D A; F E A"

    assert [inbreeding(pedigree, a) for a in "DEF"] == [0.25, 0.375, 0.4375]


def test_ancestor_that_is_inbred_itself_counts() -> None:
    assert inbreeding(INBRED_ANCESTOR, "I") == 0.0625
    assert inbreeding(INBRED_ANCESTOR, "Q") == 0.064453125


def test_two_generations_of_full_siblings() -> None:
    pedigree = "C A B; D A B; E C D; F C D; G E F; H E F; I G H"

    assert [inbreeding(pedigree, a) for a in "EGI"] == [0.25, 0.375, 0.5]


@pytest.mark.parametrize("answer", ANSWERS["pedigrees"])
def test_another_library_says_the_same(answer: dict[str, list[list[float]]]) -> None:
    parents = answer["parents"]
    found = build_lineage(
        LineageRow(id_, dam, () if sire is None else ((sire, 1.0),))
        for id_, (dam, sire) in enumerate(parents)
    )

    f = inbreeding_of(found)[found.places_of(range(len(parents)))]

    assert f == pytest.approx(answer["inbreeding"], abs=1e-12)
    assert kinship_of(found, answer["wanted"]) == pytest.approx(
        np.array(answer["kinship"]), abs=1e-12
    )


def test_candidate_sires_by_hand() -> None:
    # Dam B and candidates A (½), her father, and S (¼), unrelated; ¼ is not known.
    # A(B, A) = ½, so F = ½ (½ · ½ + ¼ · 0) = ⅛; A(X, A) = ½ · ½ + ½ · ½ · 1 = ½.
    found = build_lineage(
        [LineageRow(10, 2, ((1, 0.5), (3, 0.25))), LineageRow(2, None, ((1, 1.0),))]
    )

    assert inbreeding_of(found)[found.places[10]] == 0.125
    assert kinship_of(found, [10, 1]).tolist() == [[0.5625, 0.25], [0.25, 0.5]]


def test_pedigree_that_does_not_fit_a_table_is_cut_into_parts() -> None:
    random = np.random.default_rng(20260302)
    rows = [LineageRow(id_) for id_ in range(700)]
    for id_ in range(700, 2_100):
        dam, sire = (int(p) for p in random.integers(max(id_ - 700, 0), id_, 2))
        rows.append(LineageRow(id_, dam, () if dam == sire else ((sire, 1.0),)))
    found = build_lineage(rows)

    cut = inbreeding_of(found, most_rows=40)

    assert cut == pytest.approx(inbreeding_of(found), abs=1e-12)
    assert cut.max() > 0.1


def test_mean_kinship_of_a_collection_needs_no_table() -> None:
    found = lineage(MRODE)

    means = collection_kinship(found, [1, 2, 3, 4, 5, 6])

    # By hand: row sums of the table of relationships, by 12.
    assert means[found.places_of([1, 2, 3, 4, 5, 6])] == pytest.approx(
        [sum(row) / 12 for row in MRODE_RELATED], abs=1e-15
    )
    assert not collection_kinship(found, []).any()


@pytest.mark.parametrize(
    ("rows", "bounded"),
    [
        ([LineageRow(1)], True),
        ([LineageRow(1, wild=True)], False),
        ([LineageRow(3, 1, ((2, 1.0),))], True),
        (
            [
                LineageRow(3, 1, ((2, 1.0),)),
                LineageRow(1, wild=True),
                LineageRow(2, wild=True),
            ],
            False,
        ),
        # One parent of it is on record, so the other was expected to be.
        ([LineageRow(3, 1, wild=True), LineageRow(1, wild=True)], True),
        (
            [
                LineageRow(4, 1, ((2, 0.5), (3, 0.4))),
                *(LineageRow(n, wild=True) for n in (1, 2, 3)),
            ],
            True,
        ),
        # Three equal shares of five decimals are all of it.
        (
            [
                LineageRow(5, 1, ((2, 0.33333), (3, 0.33333), (4, 0.33333))),
                *(LineageRow(n, wild=True) for n in (1, 2, 3, 4)),
            ],
            False,
        ),
    ],
)
def test_lower_bounds(rows: list[LineageRow], bounded: bool) -> None:
    found = build_lineage(rows)

    assert bool(lower_bounds(found)[found.places[rows[0].id]]) is bounded


def test_generations_on_record() -> None:
    found = lineage("C A B; E C ?; G E C")

    depth = known_generations(found)

    # G: ½ + ½ for its parents, ¼ for C above E, ¼ + ¼ for A and B above C, ⅛ + ⅛
    # for A and B above C above E.
    assert depth[found.places_of([id_of(a) for a in "ACEG"])].tolist() == [0, 1, 1, 2]


def test_nobody_is_a_lineage_too() -> None:
    found = build_lineage([])

    assert len(found) == 0
    assert inbreeding_of(found).tolist() == []
    assert kinship_of(found, []).shape == (0, 0)
    assert lower_bounds(found).tolist() == []


def test_animal_without_parents_is_kin_to_itself_by_half() -> None:
    found = build_lineage([LineageRow(1)])

    assert kinship_of(found, [1]).tolist() == [[0.5]]


def test_loop_is_refused_with_the_way_round() -> None:
    with pytest.raises(LineageError) as refused:
        lineage("A C X; B A Y; C B Z; D A X")

    assert refused.value.sentence == (
        "A descends from itself (A ← C ← B ← A). One of these parents is wrong; "
        "correct it."
    )


def test_own_parent_is_a_loop() -> None:
    with pytest.raises(LineageError, match=r"animal 1 descends .*animal 1 ← animal 1"):
        build_lineage([LineageRow(1, 1)])


@pytest.mark.parametrize("shares", [((2, 0.7), (3, 0.4)), ((2, 0.0),), ((2, -0.1),)])
def test_shares_that_cannot_be_are_refused(
    shares: tuple[tuple[int, float], ...],
) -> None:
    with pytest.raises(LineageError, match="at most 1"):
        build_lineage([LineageRow(1, None, shares)])


def test_stranger_is_not_looked_up() -> None:
    with pytest.raises(KeyError):
        kinship_of(build_lineage([LineageRow(1)]), [2])


@pytest.mark.parametrize(
    ("start", "ends", "expected"),
    [
        ("E", "A", ("E", "C", "A")),
        ("E", "DB", ("E", "D")),
        ("E", "E", ("E",)),
        ("C", "D", ()),
        ("C", "X", ()),
    ],
)
def test_way_up(start: str, ends: str, expected: tuple[str, ...]) -> None:
    found = lineage("A ? ?; B ? ?; D ? ?; C A B; E C D")

    way = way_up(found, id_of(start), [id_of(end) for end in ends])

    assert way == expected
