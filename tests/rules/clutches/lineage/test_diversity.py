"""What a collection holds of its founders' diversity, by published figures."""

import numpy as np
import pytest

from clutches.rules.lineage.diversity import (
    Contributions,
    founder_contributions,
    founder_equivalents,
    founder_genome_equivalents,
    gene_diversity,
    generation_interval,
    mean_kinships,
    retention,
)
from clutches.rules.lineage.kinship import LineageRow, build_lineage, kinship_of
from tests.rules.clutches.lineage.pedigrees import id_of, lineage
from tests.rules.clutches.lineage.test_kinship import MRODE


def test_mrode_mean_kinship() -> None:
    found = mean_kinships(kinship_of(lineage(MRODE), [1, 2, 3, 4, 5, 6]))

    assert found == pytest.approx(
        [0.229167, 0.197917, 0.286458, 0.223958, 0.317708, 0.296875], abs=5e-7
    )
    assert found.mean() == pytest.approx(0.2586806, abs=5e-8)
    assert gene_diversity(found) == pytest.approx(0.7413194, abs=5e-8)
    assert founder_genome_equivalents(found) == pytest.approx(1.932886, abs=5e-7)


def test_family_of_full_siblings() -> None:
    # A and B, their young C and D, and E of those two.
    family = [id_of(a) for a in "ABCDE"]
    found = mean_kinships(kinship_of(lineage("C A B; D A B; E C D"), family))

    assert found == pytest.approx([0.25, 0.25, 0.325, 0.325, 0.375], abs=1e-12)
    assert gene_diversity(found) == pytest.approx(0.695, abs=1e-12)


def test_unrelated_founders_are_so_many_genomes() -> None:
    found = mean_kinships(
        kinship_of(lineage("X A B; Y C D"), [id_of(a) for a in "ABCD"])
    )

    assert founder_genome_equivalents(found) == 4
    assert gene_diversity(found) == 0.875


def test_founders_by_their_shares() -> None:
    # D is half A's and half B's, E half A's and half C's: A ½, B ¼, C ¼.
    a, b, c, d, e = (id_of(x) for x in "ABCDE")

    found = founder_contributions(lineage("D B A; E C A"), [d, e])

    assert found == Contributions(((a, 0.5), (b, 0.25), (c, 0.25)), 0.0)
    # Lacy 1989: 1 by the sum of squares.
    assert founder_equivalents([0.5, 0.25, 0.25]) == pytest.approx(2.6667, abs=5e-5)


def test_what_comes_from_nobody_on_record_is_told() -> None:
    # X: half from A, of the other half 0.6 from B; the rest is not known.
    rows = [LineageRow(9, 1, ((2, 0.6),)), LineageRow(8, 9)]

    found = founder_contributions(build_lineage(rows), [8])

    assert [id_ for id_, _ in found.founders] == [1, 2]
    assert [share for _, share in found.founders] == pytest.approx([0.25, 0.15])
    assert found.unknown == pytest.approx(0.6)


def test_nobody_contributes_to_nothing() -> None:
    found = founder_contributions(build_lineage([LineageRow(1)]), [])

    assert found == Contributions((), 0.0)
    assert founder_equivalents([]) is None


@pytest.mark.parametrize(
    ("size", "generations", "expected"),
    [(20, 10, 0.77633), (20, 1, 0.975), (20, 0, 1.0), (0.5, 1, 0.0)],
)
def test_diversity_kept(size: float, generations: float, expected: float) -> None:
    found = retention(effective_size=size, generations=generations)

    assert found == pytest.approx(expected, abs=5e-6)


@pytest.mark.parametrize(("size", "generations"), [(0.4, 1), (20, -1)])
def test_sizes_that_cannot_be_are_refused(size: float, generations: float) -> None:
    with pytest.raises(ValueError, match="half an animal"):
        retention(effective_size=size, generations=generations)


def test_generation_interval() -> None:
    # The definition is from memory; the mean of four ages is not.
    assert generation_interval([1.0, 1.5, 2.0, 0.8]) == pytest.approx(1.325)
    assert generation_interval([]) is None


def test_mean_counts_the_animal_itself() -> None:
    kinship = np.array([[0.5, 0.0], [0.0, 0.5]])

    assert mean_kinships(kinship).tolist() == [0.25, 0.25]
