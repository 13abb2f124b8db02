"""From the local clock to instants: hours that are skipped, hours that come twice."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from itertools import pairwise
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.clocks import NO_OFFSET, offset_seconds
from husbandry.rules.loggers.local_stamps import LocalStamps
from husbandry.rules.loggers.stamps import Ints
from husbandry.rules.loggers.vocabulary import Facts, Refused, facts

DAY_S = 86_400
SITE = "site"
"""As a mapping's zone: the local time of the site that the file came from."""
STEADY_STEPS = 1.5
"""The real step over the change may be this many usual steps, not more."""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_FIXED = re.compile(r"[+-](?:0\d|1[0-4]):[0-5]\d")


def find_zone(name: str, *, site_zone: ZoneInfo) -> tzinfo | None:
    """Return the zone of a name: `site`, a fixed offset or an IANA name.

    Args:
        name: `site`, `+01:00` or `Europe/Lisbon`.
        site_zone: what `site` means.

    Returns:
        None for a name that the IANA database does not have.

    Source:
        iana-tz.
    """
    if name == SITE:
        return site_zone
    if _FIXED.fullmatch(name):
        return timezone(timedelta(seconds=offset_seconds(name)))
    return named_zone(name)


def named_zone(name: str) -> ZoneInfo | None:
    """Return the zone of an IANA name, or None when there is none of that name."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


@dataclass(frozen=True, slots=True, eq=False)
class Instants:
    """A column of instants in epoch seconds."""

    at: Ints
    valid: NDArray[np.bool_]
    problems: dict[int, tuple[Refused, Facts]]
    resolved: tuple[int, ...]
    """Rows of an hour that came twice, told apart by the order of the rows."""


def to_instants(
    local: LocalStamps, zone: tzinfo, *, series: Iterable[Ints]
) -> Instants:
    """Turn local stamps into instants.

    A stamp that carries its own offset needs no zone. A local time that the change
    to summer time skips is refused. One that the change back brings twice is
    resolved when the rows themselves show the hour twice; else it is refused.

    Args:
        local: the stamps on the local clock.
        zone: the zone of that clock; a fixed offset skips and repeats nothing.
        series: the row numbers of each channel, in the order of the file.

    Source:
        iana-tz for the changes; pep-495 for telling the two passes apart. That the
        rows decide is a house rule; see ADR 0009.
    """
    carried = local.offset_s != NO_OFFSET
    at = local.seconds - np.where(carried, local.offset_s, 0)
    valid = local.valid.copy()
    problems: dict[int, tuple[Refused, Facts]] = {}
    resolved: list[int] = []
    for rows in series:
        asking = rows[valid[rows] & ~carried[rows]]
        turning = _subtract_offsets(at, local.seconds, asking, zone)
        skipped, twice = _sort_turning(at, local.seconds, turning, zone)
        for row in skipped:
            named = _neighbours(int(local.seconds[row]), zone)
            problems[row] = (Refused.LOCAL_TIME_SKIPPED, named)
        passes = _two_passes(local.seconds, asking, twice, zone)
        for row in twice:
            if row in passes:
                fold = passes[row]
                at[row] -= _offset(int(local.seconds[row]), zone, fold=fold)
                resolved.append(row)
            else:
                problems[row] = (Refused.LOCAL_TIME_TWICE, facts(zone=_name(zone)))
    valid[list(problems)] = False
    return Instants(at, valid, problems, tuple(sorted(resolved)))


def _name(zone: tzinfo) -> str:
    return getattr(zone, "key", None) or str(zone)


def _offset(local_s: int, zone: tzinfo, *, fold: int) -> int:
    """Return how far the zone is ahead of UTC at a local time, in seconds."""
    shown = (_EPOCH + timedelta(seconds=local_s)).replace(tzinfo=zone, fold=fold)
    ahead = shown.utcoffset()
    return 0 if ahead is None else int(ahead.total_seconds())


def _subtract_offsets(at: Ints, seconds: Ints, rows: Ints, zone: tzinfo) -> Ints:
    """Subtract the offset on days that have only one; return the other rows."""
    if not rows.size:
        return rows
    days, of_row = np.unique(seconds[rows] // DAY_S, return_inverse=True)
    starts = [_offset(int(day) * DAY_S, zone, fold=0) for day in days]
    ends = [_offset(int(day + 1) * DAY_S, zone, fold=0) for day in days]
    # A gap that begins at midnight belongs to the day it empties, not the day before.
    turns = np.array([a != b for a, b in zip(starts, ends, strict=True)])[of_row]
    at[rows] -= np.where(turns, 0, np.array(starts, dtype=np.int64)[of_row])
    remaining: Ints = rows[turns]
    return remaining


def _sort_turning(
    at: Ints, seconds: Ints, rows: Ints, zone: tzinfo
) -> tuple[list[int], list[int]]:
    """Return the rows at skipped times and those at times that come twice."""
    skipped, twice = [], []
    for row in rows.tolist():
        first = _offset(int(seconds[row]), zone, fold=0)
        second = _offset(int(seconds[row]), zone, fold=1)
        if first == second:
            at[row] -= first
        elif first < second:
            skipped.append(row)
        else:
            twice.append(row)
    return skipped, twice


def _neighbours(local_s: int, zone: tzinfo) -> Facts:
    """Return the last local time before a skipped one and the first after it."""
    before = _offset(local_s, zone, fold=0)
    after = _offset(local_s, zone, fold=1)
    low, high = local_s - after, local_s - before
    while high - low > 1:
        middle = (low + high) // 2
        shown = datetime.fromtimestamp(middle, tz=zone).utcoffset()
        if shown is not None and int(shown.total_seconds()) == before:
            low = middle
        else:
            high = middle
    shown_at = [
        f"{datetime.fromtimestamp(instant, tz=zone):%Y-%m-%d %H:%M:%S}"
        for instant in (high - 1, high)
    ]
    return facts(zone=_name(zone), last=shown_at[0], next=shown_at[1])


def _two_passes(
    seconds: Ints, rows: Ints, twice: list[int], zone: tzinfo
) -> dict[int, int]:
    """Return the fold (0 first, 1 second) of each row that the order of rows tells."""
    passes: dict[int, int] = {}
    if not twice:
        return passes
    steps = np.diff(seconds[rows])
    falling = bool(np.sum(steps < 0) > np.sum(steps > 0))
    usual = float(np.median(np.abs(steps)[steps != 0])) if np.any(steps) else 0.0
    position = {int(row): place for place, row in enumerate(rows)}
    for run in _runs(twice, position):
        ordered = run[::-1] if falling else run
        local_s = int(seconds[run[0]])
        back_s = _offset(local_s, zone, fold=0) - _offset(local_s, zone, fold=1)
        passes.update(_split_run(seconds, ordered, usual, back_s))
    return passes


def _runs(twice: list[int], position: dict[int, int]) -> list[list[int]]:
    """Return the doubtful rows in runs of neighbouring rows."""
    runs: list[list[int]] = []
    for row in twice:
        if runs and position[row] == position[runs[-1][-1]] + 1:
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs


def _split_run(
    seconds: Ints, run: list[int], usual_s: float, back_s: int
) -> dict[int, int]:
    """Split a run where the clock goes back, if it goes back exactly once.

    The real time that passes there is more than the clock shows, by `back_s`; it has to
    be about the usual step. Two equal stamps of a ten-minute logger are a duplicate,
    of an hourly logger they are the two passes.
    """
    steps = [int(seconds[b] - seconds[a]) for a, b in pairwise(run)]
    back = [place for place, step in enumerate(steps, start=1) if step <= 0]
    if len(back) != 1:
        return {}
    cut = back[0]
    real_s = steps[cut - 1] + back_s
    if not 0 < real_s <= STEADY_STEPS * usual_s:
        return {}
    return {row: int(place >= cut) for place, row in enumerate(run)}
