"""By what figures are told apart: a name for each group that a row belongs to."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from enum import StrEnum
from math import floor

from clutches.rules.figures.facts import (
    BreedingRows,
    ClutchRow,
    EggRow,
    HatchlingRow,
)

NOT_KNOWN = "not known"
NOT_MEASURED = "not measured"
Lived = EggRow | HatchlingRow


class GroupBy(StrEnum):
    """By what figures are told apart."""

    ALL = "all"
    CLUTCH = "clutch"
    PAIR = "pair"
    DAM = "dam"
    INCUBATOR = "incubator"
    TEMPERATURE = "temperature"
    YEAR = "year"
    SPECIES = "species"


def pair_name(clutch: ClutchRow) -> str:
    """Return dam and sire, or all that may be the sire."""
    sires = " or ".join(clutch.sires) or NOT_KNOWN
    return f"{clutch.dam or NOT_KNOWN} × {sires}"


def temperature_name(mean_c: float | None) -> str:
    """Return the whole degree in which a mean lies: `26–27 °C`."""
    if mean_c is None:
        return NOT_MEASURED
    low = floor(mean_c)
    return f"{low}–{low + 1} °C"


# What a whole clutch has in common.
OF_CLUTCH: Mapping[GroupBy, Callable[[ClutchRow], str]] = {
    GroupBy.ALL: lambda _: "all",
    GroupBy.CLUTCH: lambda clutch: clutch.code,
    GroupBy.PAIR: pair_name,
    GroupBy.DAM: lambda clutch: clutch.dam or NOT_KNOWN,
    GroupBy.YEAR: lambda clutch: str(clutch.laid_on.year),
    GroupBy.SPECIES: lambda clutch: clutch.species,
}
# What eggs of one clutch may differ in.
OF_EGG: Mapping[GroupBy, Callable[[Lived], str]] = {
    GroupBy.INCUBATOR: lambda row: row.incubator or NOT_KNOWN,
    GroupBy.TEMPERATURE: lambda row: temperature_name(row.mean_c),
}


def grouped(rows: BreedingRows, by: GroupBy) -> dict[str, BreedingRows]:
    """Return the rows of each group, by its name and in the order of the names.

    Args:
        rows: of any number of clutches.
        by: what tells them apart. By incubator and by temperature the eggs of one
            clutch may fall into several groups; the clutch then counts in each of
            them for its eggs there, and what was infertile at laying in none.
    """
    if by in OF_CLUTCH:
        return _by_clutch(rows, OF_CLUTCH[by])
    return _by_egg(rows, OF_EGG[by])


def _by_clutch(
    rows: BreedingRows, name: Callable[[ClutchRow], str]
) -> dict[str, BreedingRows]:
    names = {clutch.id: name(clutch) for clutch in rows.clutches}
    return {
        group: BreedingRows(
            tuple(c for c in rows.clutches if names[c.id] == group),
            tuple(e for e in rows.eggs if names[e.clutch] == group),
            tuple(h for h in rows.hatchlings if names[h.clutch] == group),
        )
        for group in sorted(set(names.values()))
    }


def _by_egg(
    rows: BreedingRows, name: Callable[[Lived], str]
) -> dict[str, BreedingRows]:
    found: dict[str, tuple[list[EggRow], list[HatchlingRow]]] = {}
    for egg in rows.eggs:
        found.setdefault(name(egg), ([], []))[0].append(egg)
    for young in rows.hatchlings:
        found.setdefault(name(young), ([], []))[1].append(young)
    return {
        group: BreedingRows(
            _with_eggs_there(rows.clutches, eggs, hatchlings),
            tuple(eggs),
            tuple(hatchlings),
        )
        for group, (eggs, hatchlings) in sorted(found.items())
    }


def _with_eggs_there(
    clutches: Iterable[ClutchRow],
    eggs: Iterable[EggRow],
    hatchlings: Iterable[HatchlingRow],
) -> tuple[ClutchRow, ...]:
    there = Counter(egg.clutch for egg in eggs)
    there.update({young.clutch: 0 for young in hatchlings})
    return tuple(
        replace(
            clutch,
            eggs_set=there[clutch.id],
            infertile=0,
            broken=0,
            born_alive=0,
            born_dead=0,
        )
        for clutch in clutches
        if clutch.id in there
    )
