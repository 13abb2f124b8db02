"""Figures and rows as CSV."""

from collections.abc import Mapping
from dataclasses import dataclass

from clutches.rules.figures.counting import SURVIVAL_DAYS, Figures
from clutches.rules.figures.facts import (
    BreedingRows,
    ClutchRow,
    EggRow,
    HatchlingRow,
)
from clutches.rules.statistics import Lasting, Share
from core.csv_tables import Cell, as_csv

GROUP_HEADINGS = (
    *("group", "clutches", "eggs_set", "infertile_at_laying", "broken_at_laying"),
    *("born_alive", "born_dead", "fertile", "fertility_judged", "fertility_low"),
    *("fertility_high", "fertility_undecided", "hatched", "ended", "hatch_rate_low"),
    *("hatch_rate_high", "ended_fertile", "incubating", "hatch_days_median"),
    *("hatch_days_least", "hatch_days_most", "hatchlings", "mass_g_count"),
    *("mass_g_median", "mass_g_least", "mass_g_most", "dead", "lost", "undated"),
    *(
        f"{what}_{days}_days"
        for days in SURVIVAL_DAYS
        for what in ("watched", "survival", "survival_low", "survival_high")
    ),
    *("female", "male", "sex_confirmed", "sex_unclear", "sex_p"),
)


def groups_as_csv(groups: Mapping[str, Figures]) -> str:
    """Return the figures of each group, a line each."""
    return as_csv(GROUP_HEADINGS, (_group(n, f) for n, f in groups.items()))


def _group(name: str, f: Figures) -> list[Cell]:
    return [
        *(name, f.clutches, f.eggs_set, f.infertile_at_laying, f.broken_at_laying),
        *(f.born_alive, f.born_dead, *_share(f.fertility), f.undecided),
        *(*_share(f.hatch_rate), f.hatch_rate_fertile.of, f.open),
        *(f.days.median, f.days.least, f.days.most, f.hatchlings),
        *(f.mass_g.count, f.mass_g.median, f.mass_g.least, f.mass_g.most),
        *(f.dead, f.lost, f.undated),
        *(cell for days in SURVIVAL_DAYS for cell in _lasting(f.survival.at(days))),
        *(f.sexes.female, f.sexes.male, f.sexes.confirmed, f.sexes.unclear),
        f.sexes.p,
    ]


def _share(share: Share) -> list[Cell]:
    """Return count and whole with the interval; no interval of nothing."""
    ends: list[Cell] = [share.low, share.high] if share.of else [None, None]
    return [share.count, share.of, *ends]


def _lasting(known: Lasting | None) -> list[Cell]:
    if known is None:
        return [0, None, None, None]
    return [known.at_risk, known.surviving, known.low, known.high]


EGG_HEADINGS = (
    *("clutch", "species", "site", "dam", "sires", "laid_on", "egg", "box"),
    *("incubator", "mean_c", "measured", "vessels_seen", "state", "pipped_on"),
    *("ended_on", "days", "cause", "hatchling", "hatched_on", "sex"),
    *("sex_confidence", "mass_g", "status", "watched_days"),
)


@dataclass(frozen=True, slots=True)
class _Line:
    """One egg, one hatchling, or both."""

    clutch: ClutchRow
    egg: EggRow | None
    young: HatchlingRow | None

    def cells(self) -> list[Cell]:
        clutch, egg, young = self.clutch, self.egg, self.young
        return [
            *(clutch.code, clutch.species, clutch.site, clutch.dam),
            *(" or ".join(clutch.sires), clutch.laid_on),
            *(_of_egg(egg, clutch) if egg else [None] * 11),
            *(_of_young(young) if young else [None] * 7),
        ]


def _of_egg(egg: EggRow, clutch: ClutchRow) -> list[Cell]:
    days = (egg.ended_on - clutch.laid_on).days if egg.ended_on else None
    return [
        *(egg.number, egg.box, egg.incubator, egg.mean_c, egg.measured),
        *("yes" if egg.vessels else "no", egg.state.value, egg.pipped_on),
        *(egg.ended_on, days, egg.cause.value if egg.cause else None),
    ]


def _of_young(young: HatchlingRow) -> list[Cell]:
    mass_g = None if young.mass_g is None else str(young.mass_g)
    return [
        *(young.code, young.hatched_on, young.sex.value, young.confidence.value),
        *(mass_g, young.status.value, young.watched_days),
    ]


def eggs_as_csv(rows: BreedingRows) -> str:
    """Return every egg with what came of it, and every hatchling without an egg."""
    clutches = {clutch.id: clutch for clutch in rows.clutches}
    young = {one.id: one for one in rows.hatchlings}
    of_eggs = {egg.hatchling for egg in rows.eggs}
    lines = [
        _Line(clutches[egg.clutch], egg, young.get(egg.hatchling or 0))
        for egg in rows.eggs
    ]
    lines += [
        _Line(clutches[one.clutch], None, one)
        for one in rows.hatchlings
        if one.id not in of_eggs
    ]
    return as_csv(EGG_HEADINGS, (line.cells() for line in lines))
