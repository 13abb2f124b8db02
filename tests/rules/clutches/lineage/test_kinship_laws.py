"""What holds for every pedigree, whoever is whose parent."""

from collections.abc import Sequence

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.lineage.kinship import (
    LineageRow,
    build_lineage,
    collection_kinship,
    inbreeding_of,
    kinship_of,
)


@st.composite
def pedigrees(draw: st.DrawFn, *, certain: bool = False) -> list[LineageRow]:
    """Draw up to fourteen animals, each with parents among the older ones."""
    rows: list[LineageRow] = []
    for id_ in range(draw(st.integers(1, 14))):
        older = st.sampled_from([row.id for row in rows]) if rows else st.nothing()
        dam = draw(st.none() | older) if rows else None
        most = 1 if certain else 3
        males = draw(st.lists(older, max_size=most, unique=True)) if rows else []
        males = [male for male in males if male != dam]
        shares = [draw(st.sampled_from((0.1, 0.25, 1 / 3))) for _ in males]
        if certain:
            shares = [1.0 for _ in males]
        rows.append(LineageRow(id_, dam, tuple(zip(males, shares, strict=True))))
    return rows


def by_id(rows: Sequence[LineageRow]) -> dict[int, float]:
    found = build_lineage(rows)
    return dict(zip(found.ids, inbreeding_of(found).tolist(), strict=True))


@given(pedigrees())
def test_kinship_is_symmetric_and_bounded(rows: list[LineageRow]) -> None:
    found = build_lineage(rows)

    kinship = kinship_of(found, found.ids)
    inbreeding = inbreeding_of(found)

    assert np.array_equal(kinship, kinship.T)
    assert ((kinship >= 0) & (kinship < 1)).all()
    assert ((inbreeding >= 0) & (inbreeding < 1)).all()
    np.testing.assert_allclose(np.diag(kinship), (1 + inbreeding) / 2, atol=1e-12)


@given(pedigrees())
def test_relationships_can_be_variances(rows: list[LineageRow]) -> None:
    found = build_lineage(rows)

    assert np.linalg.eigvalsh(kinship_of(found, found.ids)).min() > -1e-12


@given(pedigrees(), st.randoms(use_true_random=False))
def test_order_of_rows_does_not_matter(rows: list[LineageRow], random: object) -> None:
    shuffled = list(rows)
    random.shuffle(shuffled)  # type: ignore[attr-defined]

    assert by_id(shuffled) == by_id(rows)


@given(pedigrees(certain=True))
def test_young_are_as_inbred_as_their_parents_are_kin(rows: list[LineageRow]) -> None:
    found = build_lineage(rows)
    inbreeding = by_id(rows)

    for row in rows:
        if row.dam is not None and row.sires:
            kinship = kinship_of(found, [row.dam, row.sires[0][0]])
            assert abs(inbreeding[row.id] - kinship[0, 1]) < 1e-12


@given(pedigrees(certain=True), st.data())
def test_likely_sires_give_the_mean_of_what_each_would(
    rows: list[LineageRow], data: st.DataObject
) -> None:
    ids = [row.id for row in rows]
    dam = data.draw(st.sampled_from(ids))
    males = data.draw(st.lists(st.sampled_from(ids), max_size=3, unique=True))
    males = [male for male in males if male != dam]
    new = max(ids) + 1
    shares = tuple((male, 0.3) for male in males)

    expected = sum(
        share * by_id([*rows, LineageRow(new, dam, ((male, 1.0),))])[new]
        for male, share in shares
    )

    assert abs(by_id([*rows, LineageRow(new, dam, shares)])[new] - expected) < 1e-12


@given(pedigrees(), st.data())
def test_mean_kinship_without_a_table_is_that_of_the_table(
    rows: list[LineageRow], data: st.DataObject
) -> None:
    found = build_lineage(rows)
    some = data.draw(st.lists(st.sampled_from(found.ids), min_size=1, unique=True))

    means = collection_kinship(found, some)

    table = kinship_of(found, found.ids)[:, found.places_of(some)]
    np.testing.assert_allclose(means, table.mean(axis=1), atol=1e-12)
