"""By what figures are told apart: a name for each group that a row belongs to."""

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import floor

from clutches.rules.figures.facts import (
    BreedingRows,
    ClutchRow,
    EggRow,
    HatchlingRow,
)

NOT_KNOWN = "not known"
NOT_MEASURED = "measured for less than half the time"
MEASURED_FOR = 0.5
"""A mean of fewer of an egg's hours does not say how warm it was."""
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


def temperature_name(mean_c: float | None, measured: float) -> str:
    """Return the whole degree in which a mean lies: `26–27 °C`.

    Args:
        mean_c: of the hours that were measured, °C; None: none were.
        measured: share of the hours that were, 0 to 1; under a half the mean names
            no degree.

    Source:
        House rule, no source.
    """
    if mean_c is None or measured < MEASURED_FOR:
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
    GroupBy.TEMPERATURE: lambda row: temperature_name(row.mean_c, row.measured),
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


@dataclass(slots=True)
class _Group:
    """Rows of one group, while they are found."""

    clutches: list[ClutchRow] = field(default_factory=list)
    eggs: list[EggRow] = field(default_factory=list)
    hatchlings: list[HatchlingRow] = field(default_factory=list)

    def rows(self) -> BreedingRows:
        return BreedingRows(
            tuple(self.clutches), tuple(self.eggs), tuple(self.hatchlings)
        )


def _by_clutch(
    rows: BreedingRows, name: Callable[[ClutchRow], str]
) -> dict[str, BreedingRows]:
    names = {clutch.id: name(clutch) for clutch in rows.clutches}
    found: dict[str, _Group] = defaultdict(_Group)
    for clutch in rows.clutches:
        found[names[clutch.id]].clutches.append(clutch)
    for egg in rows.eggs:
        found[names[egg.clutch]].eggs.append(egg)
    for young in rows.hatchlings:
        found[names[young.clutch]].hatchlings.append(young)
    return {group: found[group].rows() for group in sorted(found)}


def _by_egg(
    rows: BreedingRows, name: Callable[[Lived], str]
) -> dict[str, BreedingRows]:
    found: dict[str, _Group] = defaultdict(_Group)
    for egg in rows.eggs:
        found[name(egg)].eggs.append(egg)
    for young in rows.hatchlings:
        found[name(young)].hatchlings.append(young)
    clutches = {clutch.id: clutch for clutch in rows.clutches}
    for group in found.values():
        group.clutches = _with_eggs_there(clutches, group)
    return {group: found[group].rows() for group in sorted(found)}


def _with_eggs_there(
    clutches: Mapping[int, ClutchRow], group: _Group
) -> list[ClutchRow]:
    """Return the clutches of a group, each with as many eggs as it has in it."""
    there = Counter(egg.clutch for egg in group.eggs)
    there.update({young.clutch: 0 for young in group.hatchlings})
    return [
        replace(
            clutches[id_],
            eggs_set=eggs,
            infertile=0,
            broken=0,
            born_alive=0,
            born_dead=0,
        )
        for id_, eggs in sorted(there.items())
    ]
