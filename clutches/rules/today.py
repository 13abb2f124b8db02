"""How warm eggs were today, put after how warm they were before."""

from collections.abc import Sequence

import numpy as np

from clutches.rules.facts import BoxSpell, Floats, Track
from clutches.rules.incubation.climate import IncubatorClimate

HOUR_S = 3600


def with_today(
    track: Track, spells: Sequence[BoxSpell], climate: IncubatorClimate
) -> Track:
    """Return a track that ends with the day instead of with the day before.

    Args:
        track: until the day began.
        spells: where the eggs were; an hour counts for the incubator in which they
            were when it began.
        climate: what was measured within the day.

    Returns:
        The same with an hour for each of the day; NaN where nobody measured.
    """
    day = climate.day
    starts_s = range(day.start_s, day.end_s, HOUR_S)
    courses = {spell.incubator: _course(climate, spell.incubator) for spell in spells}
    today = [
        courses[spell.incubator][hour] if spell else np.nan
        for hour, start_s in enumerate(starts_s)
        for spell in [_spell_at(spells, start_s)]
    ]
    return Track(track.start_s, np.concatenate([track.hours_c, np.array(today)]))


def _spell_at(spells: Sequence[BoxSpell], at_s: int) -> BoxSpell | None:
    return next(
        (
            spell
            for spell in spells
            if spell.from_s <= at_s and (spell.until_s is None or at_s < spell.until_s)
        ),
        None,
    )


def _course(climate: IncubatorClimate, incubator: int | None) -> Floats:
    """Return the day's hours in an incubator, the mean of its probes, °C."""
    hours = len(range(climate.day.start_s, climate.day.end_s, HOUR_S))
    probes = climate.among_eggs(incubator) if incubator is not None else ()
    if not probes:
        return np.full(hours, np.nan)
    known = np.array(
        [
            [np.nan if milli is None else milli / 1000 for milli in p.hours_milli_c]
            for p in probes
        ]
    )
    counted = (~np.isnan(known)).sum(axis=0)
    sums: Floats = np.nansum(known, axis=0)
    return np.where(counted > 0, sums / np.maximum(counted, 1), np.nan)
