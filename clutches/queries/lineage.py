"""Whom animals descend from, with every male that may be a sire."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import connection

from clutches.models import CandidateSire
from clutches.rules.lineage.lineages import Lineage, LineageRow, build_lineage
from husbandry.rules.vocabulary import Origin

Shares = tuple[tuple[int, float], ...]

# Filled with placeholders only. An animal's possible sires are its own candidates and
# those of its clutch.
_LINE = """
    WITH RECURSIVE line (id) AS (
        SELECT id FROM husbandry_animal WHERE id IN ({marks})
        UNION
        SELECT link.parent_id FROM line JOIN (
            SELECT id AS young_id, dam_id AS parent_id FROM husbandry_animal
            WHERE dam_id IS NOT NULL
            UNION ALL
            SELECT id, sire_id FROM husbandry_animal WHERE sire_id IS NOT NULL
            UNION ALL
            SELECT animal_id, sire_id FROM clutches_candidatesire
            WHERE animal_id IS NOT NULL
            UNION ALL
            SELECT hatchling.animal_id, candidate.sire_id
            FROM clutches_hatchling hatchling
            JOIN clutches_candidatesire candidate
            ON candidate.clutch_id = hatchling.clutch_id
        ) link ON link.young_id = line.id
    )
"""
_ANIMALS = """
    SELECT animal.id, animal.dam_id, animal.sire_id, animal.code, animal.name,
    animal.origin
    FROM line JOIN husbandry_animal animal ON animal.id = line.id
"""
_CANDIDATES = """
    SELECT line.id, 1, candidate.sire_id, candidate.probability
    FROM line JOIN clutches_candidatesire candidate ON candidate.animal_id = line.id
    UNION ALL
    SELECT line.id, 0, candidate.sire_id, candidate.probability
    FROM line JOIN clutches_hatchling hatchling ON hatchling.animal_id = line.id
    JOIN clutches_candidatesire candidate
    ON candidate.clutch_id = hatchling.clutch_id
"""


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """A male that may be the sire of a clutch or an animal, as people read it."""

    sire: int
    code: str
    label: str
    probability: Decimal
    basis: str


def lineage_of(*, animal_ids: Collection[int]) -> Lineage:
    """Return animals with all their ancestors and possible sires; two queries.

    The sire on an animal's own record is certain; without one, the candidates given
    for the animal itself count, and without any those of the clutch it came from.

    Args:
        animal_ids: where to begin; none gives an empty lineage without a query.

    Raises:
        LineageError: somebody descends from itself.
    """
    if not animal_ids:
        return build_lineage(())
    own, of_clutch = _candidates(animal_ids)
    return build_lineage(
        LineageRow(
            id=pk,
            dam=dam,
            sires=((sire, 1.0),) if sire else own.get(pk) or of_clutch.get(pk, ()),
            label=f"{code} {name}".strip(),
            wild=origin == Origin.WILD_CAUGHT,
        )
        for pk, dam, sire, code, name, origin in _rows(_ANIMALS, animal_ids)
    )


def _candidates(
    animal_ids: Collection[int],
) -> tuple[dict[int, Shares], dict[int, Shares]]:
    """Return candidates by animal: those given for itself, and those of its clutch."""
    found: tuple[dict[int, Shares], dict[int, Shares]] = (
        defaultdict(tuple),
        defaultdict(tuple),
    )
    for pk, own, sire, probability in _rows(_CANDIDATES, animal_ids):
        by_animal = found[0] if own else found[1]
        by_animal[pk] += ((sire, float(probability)),)
    return found


def _rows(statement: str, animal_ids: Collection[int]) -> list[Any]:
    marks = ", ".join(["%s"] * len(animal_ids))
    with connection.cursor() as cursor:
        cursor.execute(_LINE.format(marks=marks) + statement, list(animal_ids))
        rows: list[Any] = cursor.fetchall()
    return rows


def candidate_sires(
    *, clutch_ids: Collection[int] = (), animal_ids: Collection[int] = ()
) -> tuple[dict[int, tuple[CandidateLine, ...]], dict[int, tuple[CandidateLine, ...]]]:
    """Return who may be the sire, by clutch and by animal; one query.

    Args:
        clutch_ids: clutches.
        animal_ids: animals; the candidates given for themselves only.

    Returns:
        The likeliest first; those without any are absent.
    """
    rows = CandidateSire.objects.filter(
        clutch__in=clutch_ids
    ) | CandidateSire.objects.filter(animal__in=animal_ids)
    by_clutch: dict[int, tuple[CandidateLine, ...]] = {}
    by_animal: dict[int, tuple[CandidateLine, ...]] = {}
    for row in rows.select_related("sire").order_by("-probability", "sire__code"):
        line = CandidateLine(
            sire=row.sire_id,
            code=row.sire.code,
            label=str(row.sire),
            probability=row.probability,
            basis=row.basis,
        )
        if row.clutch_id is not None:
            by_clutch[row.clutch_id] = (*by_clutch.get(row.clutch_id, ()), line)
        elif row.animal_id is not None:
            by_animal[row.animal_id] = (*by_animal.get(row.animal_id, ()), line)
    return by_clutch, by_animal
