"""How much of its founders' diversity a collection still holds."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from clutches.rules.lineage.lineages import UNKNOWN, Floats, Lineage


@dataclass(frozen=True, slots=True)
class Contributions:
    """Which share of a collection's genes comes from whom.

    Attributes:
        founders: (id, share) of each animal of whose parents none is on record and
            from whom some gene can come, the largest share first.
        unknown: share that comes from the other parent of those of whom one is on
            record, and from what is missing of candidate sires.
    """

    founders: tuple[tuple[int, float], ...]
    unknown: float


def mean_kinships(kinship: Floats) -> Floats:
    """Return each animal's mean kinship to all of a collection, itself included.

    Args:
        kinship: animals × animals, self-kinship on the diagonal; at least one.

    Source:
        ballou-lacy-1995; without the diagonal the figures would be others.
    """
    found: Floats = kinship.mean(axis=1)
    return found


def gene_diversity(mean_kinships: Floats) -> float:
    """Return the gene diversity of a collection: 1 less the mean of mean kinships.

    Args:
        mean_kinships: of each of its animals, itself included; at least one.

    Returns:
        The share of its founders' gene diversity that is left, 0 to 1: what a
        randomly mating collection would show as expected heterozygosity.

    Source:
        ballou-lacy-1995.
    """
    return 1 - float(mean_kinships.mean())


def founder_genome_equivalents(mean_kinships: Floats) -> float:
    """Return how many unrelated founders would hold as much gene diversity.

    Args:
        mean_kinships: of each animal of the collection, itself included; at least
            one, and no animal is unrelated to itself, so the mean is above 0.

    Source:
        lacy-1989: 1 by twice the average mean kinship.
    """
    return 1 / (2 * float(mean_kinships.mean()))


def founder_contributions(lineage: Lineage, collection: Sequence[int]) -> Contributions:
    """Return which founders the genes of a collection come from.

    Args:
        lineage: with the collection and all its ancestors.
        collection: ids, each once; none: nobody contributes.

    Raises:
        KeyError: one is not in the lineage.

    Source:
        lacy-1989: half of every animal's genes from each parent.
    """
    share = np.zeros(len(lineage))
    if collection:
        share[lineage.places_of(collection)] = 1 / len(collection)
    parents, weights = lineage.parents, lineage.weights
    founding = (parents == UNKNOWN).all(axis=1)
    for part in reversed(list(lineage.generations())):
        for number in range(parents.shape[1]):
            known = parents[part, number] != UNKNOWN
            passed = weights[part, number] * share[part]
            np.add.at(share, parents[part, number][known], passed[known])
    missing = share[~founding] * (1 - weights[~founding].sum(axis=1))
    places = [p for p in np.flatnonzero(founding) if share[p] > 0]
    places.sort(key=lambda place: (-share[place], lineage.ids[place]))
    return Contributions(
        founders=tuple((lineage.ids[p], float(share[p])) for p in places),
        unknown=max(float(missing.sum()), 0.0),
    )


def founder_equivalents(shares: Sequence[float]) -> float | None:
    """Return how many founders with equal shares would be as even as these.

    Args:
        shares: of each founder, 0 to 1; none gives None.

    Source:
        lacy-1989: 1 by the sum of squared shares.
    """
    squared = sum(share * share for share in shares)
    return 1 / squared if squared > 0 else None


def retention(*, effective_size: float, generations: float) -> float:
    """Return which share of gene diversity a population keeps over generations.

    Args:
        effective_size: animals, at least 0.5; as if all of them bred at random.
        generations: 0 or more.

    Raises:
        ValueError: a size below one half, or fewer than no generations.

    Source:
        wright-1931, from memory: (1 - 1 / 2N) to the power of the generations.
    """
    if effective_size < 0.5 or generations < 0:
        raise ValueError(
            f"{effective_size} animals over {generations} generations: give at least "
            "half an animal and no fewer than 0 generations."
        )
    return float((1 - 1 / (2 * effective_size)) ** generations)


def generation_interval(ages_years: Sequence[float]) -> float | None:
    """Return the mean age of parents at the hatching of young that bred themselves.

    Args:
        ages_years: one for each parent and such young; none gives None.

    Source:
        generation-interval, from memory.
    """
    return sum(ages_years) / len(ages_years) if ages_years else None
