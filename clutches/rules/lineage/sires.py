"""Who may be the sire: the set put forward at laying, and what a set must hold to."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_DOWN, Decimal
from typing import Generic, TypeVar

from clutches.rules.facts import Mating
from clutches.rules.vocabulary import SireBasis
from core.errors import DomainError
from husbandry.rules.parents import Relative, check_parents

T = TypeVar("T")
STEP = Decimal("0.00001")
"""Probabilities are kept to five decimals."""
ALL = Decimal(1)


class SireError(DomainError):
    """A set of candidate sires cannot be."""

    code = "candidate_sires_refused"


@dataclass(frozen=True, slots=True)
class SireShare(Generic[T]):
    """A male that may be the sire.

    Attributes:
        sire: the male, as whoever asks knows him.
        probability: more than 0, at most 1, up to five decimals.
    """

    sire: T
    probability: Decimal
    basis: SireBasis


@dataclass(frozen=True, slots=True)
class Sired:
    """What a set of sires is given for: a clutch by its day of laying, or an animal.

    Attributes:
        young: of a clutch, as if it hatched on the day it was laid: a sire must have
            hatched before that.
        dam: of the clutch or animal, as far as she is on record.
        descended: by the id of each male, the way down to him, where he descends
            from the animal or the clutch himself.
    """

    young: Relative
    dam: Relative | None
    descended: Mapping[int, tuple[str, ...]]


def likely_sires(
    matings: Sequence[Mating],
    *,
    laid_on: date,
    stored_days: int,
    fresh_days: int | None = None,
) -> tuple[tuple[int, Decimal, SireBasis], ...]:
    """Return who is put forward as sire of a clutch on the day it was laid.

    Females store sperm, so every male met in time may be the sire. Of several none
    is favoured, not even the last: nobody knows.

    Args:
        matings: introductions in force that may have made eggs, in any order; those
            on the day of laying and later are left out.
        laid_on: local day.
        stored_days: for how long before laying a mating counts, that day included.
        fresh_days: the most days from mating to laying that the species is known to
            take; an older mating can only have been stored. None: not known.

    Returns:
        (id, probability, basis) of each male, by id: one has 1, several have equal
        parts, rounded down to five decimals; none where no mating counts.

    Source:
        House rule: equal shares where nothing tells males apart.
    """
    last: dict[int, date] = {}
    for mating in matings:
        if 0 < (laid_on - mating.on).days <= stored_days:
            last[mating.sire] = max(mating.on, last.get(mating.sire, mating.on))
    if len(last) == 1:
        return tuple((sire, ALL, SireBasis.ONLY_MATE) for sire in last)
    if not last:
        return ()
    share = (ALL / len(last)).quantize(STEP, ROUND_DOWN)
    fresh_from = date.min
    if fresh_days is not None:
        fresh_from = laid_on - timedelta(days=fresh_days)
    return tuple(
        (
            sire,
            share,
            SireBasis.STORED_SPERM if on < fresh_from else SireBasis.MATED_BEFORE,
        )
        for sire, on in sorted(last.items())
    )


def check_sires(shares: Sequence[SireShare[Relative]], *, of: Sired) -> None:
    """Refuse a set of candidate sires that cannot be.

    Args:
        shares: the whole set; none says that nothing is known of the sire.
        of: the clutch or animal.

    Raises:
        SireError: a probability that is not more than 0 and at most 1 with five
            decimals, more than 1 together, a male twice, or one that descends from
            the animal or the clutch.
        ParentError: a female, another species, the dam herself, or a male that
            hatched no earlier than the young, or than the clutch was laid.
    """
    for share in shares:
        _check_probability(share)
    total = sum(share.probability for share in shares)
    if total > ALL:
        raise SireError(
            f"The probabilities add up to {total}; together they are at most 1. What "
            "is missing is an unknown male.",
            fields={"probability": "at most 1 together"},
        )
    seen: set[int | None] = set()
    for share in shares:
        sire = share.sire
        if sire.id in seen:
            raise SireError(
                f"{sire.label} is named twice; give each male once.",
                fields={"sire": "each male once"},
            )
        seen.add(sire.id)
        check_parents(of.young, dam=of.dam, sire=sire, parents={}, labels={})
        _check_descent(sire, of)


def _check_probability(share: SireShare[Relative]) -> None:
    given = share.probability
    whole = given.is_finite() and 0 < given <= 1
    if not whole or given != given.quantize(STEP):
        raise SireError(
            f"{share.sire.label} has the probability {given}; accepted is more than 0 "
            "and at most 1, with up to five decimals.",
            fields={"probability": "more than 0, at most 1, five decimals"},
        )


def _check_descent(sire: Relative, of: Sired) -> None:
    way = of.descended.get(sire.id) if sire.id is not None else None
    if way:
        raise SireError(
            f"{sire.label} descends from {of.young.label} itself "
            f"({' ← '.join(way)}) and cannot be its sire.",
            fields={"sire": "an animal that does not descend from it"},
        )
