"""A home's readings as the review's kernel takes them."""

from collections.abc import Iterable

import numpy as np

from husbandry.rules.conditions import MISSING, QUANTITIES, Readings
from husbandry.rules.vocabulary import Quantity, Zone
from placements.rules.readiness.values import HomeReadings

# Readings that lie further apart hold no longer than those of a logger of one hour.
SHORTEST_S, LONGEST_S = 60, 3_600

Row = tuple[str, str, int, int]


def home_readings(rows: Iterable[Row]) -> HomeReadings:
    """Return a home's readings by spot.

    Args:
        rows: (zone, quantity, epoch second, thousandths), in any order, each zone,
            quantity and instant once; none is fine.

    Returns:
        Them, as the nightly review reads a probe for each zone. A spot's interval is
        the median distance of its readings, at least a minute and at most an hour.

    Source:
        home-readings-convention
    """
    known = list(rows)
    zones = tuple(sorted({Zone(zone) for zone, _, _, _ in known}))
    place = {zone.value: number for number, zone in enumerate(zones)}
    column = {quantity.value: number for number, quantity in enumerate(QUANTITIES)}
    table = np.array(
        [(place[z], at, column[q], milli) for z, q, at, milli in known], np.int64
    ).reshape(-1, 4)
    # The kernel takes one row for each spot and instant, whatever was measured then.
    spots, row_of = np.unique(table[:, :2], axis=0, return_inverse=True)
    values = np.full((len(spots), len(QUANTITIES)), MISSING, np.int32)
    values[row_of.reshape(-1), table[:, 2]] = table[:, 3]
    return HomeReadings(
        zones=zones,
        quantities=tuple(_measured(table, number) for number in range(len(zones))),
        interval_s=tuple(
            _interval_s(spots[spots[:, 0] == number, 1]) for number in range(len(zones))
        ),
        readings=Readings(
            spots[:, 0].astype(np.int32),
            spots[:, 1],
            values[:, 0],
            values[:, 1],
            values[:, 2],
        ),
    )


def _measured(table: np.ndarray, place: int) -> tuple[Quantity, ...]:
    there = set(table[table[:, 0] == place, 2].tolist())
    return tuple(q for number, q in enumerate(QUANTITIES) if number in there)


def _interval_s(at: np.ndarray) -> int:
    if len(at) < 2:
        return LONGEST_S
    return int(min(max(np.median(np.diff(at)), SHORTEST_S), LONGEST_S))
