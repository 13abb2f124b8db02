"""How warm it was hour by hour: time-weighted, and nothing where nobody knows."""

import numpy as np
import numpy.typing as npt

from husbandry.rules.clock import LocalDay
from husbandry.rules.conditions import MISSING, QUANTITIES
from husbandry.rules.conditions.values import BELIEVED_MILLI
from husbandry.rules.vocabulary import Quantity

Int64s = npt.NDArray[np.int64]
HOUR_S = 3600
_BELIEVED = BELIEVED_MILLI[QUANTITIES.index(Quantity.TEMPERATURE_C)]


def held(
    at_s: Int64s, milli_c: Int64s, *, day: LocalDay, hold_s: int
) -> tuple[Int64s, Int64s, Int64s]:
    """Return from when until when which temperature was in force within a day.

    As in the kernel of the nightly review: from its instant until the next reading,
    at most `hold_s`, also the one in force when the day opens; of two at one instant
    the one that came last. What cannot be true is in force as well, and left out.

    Args:
        at_s: epoch seconds of readings, in any order.
        milli_c: thousandths of °C; those that are missing count as no reading.
        day: the local day.
        hold_s: seconds for which a reading stays in force at most.

    Returns:
        Epoch seconds from and until, and thousandths of °C; in order, none empty.

    Source:
        ADR 0002; what is impossible: `sensor-bounds`.
    """
    known = milli_c != MISSING
    at_s, milli_c = at_s[known].astype(np.int64), milli_c[known].astype(np.int64)
    order = np.argsort(at_s, kind="stable")
    at_s, milli_c = at_s[order], milli_c[order]
    last = np.append(at_s[1:] != at_s[:-1], np.ones(min(len(at_s), 1), np.bool_))
    at_s, milli_c = at_s[last], milli_c[last]
    until_s = np.minimum(at_s + hold_s, np.append(at_s[1:], day.end_s))
    from_s = np.clip(at_s, day.start_s, day.end_s)
    until_s = np.clip(until_s, day.start_s, day.end_s)
    lowest, highest = _BELIEVED
    lasting = (until_s > from_s) & (milli_c >= lowest) & (milli_c <= highest)
    return from_s[lasting], until_s[lasting], milli_c[lasting]


def hourly_means(
    at_s: Int64s, milli_c: Int64s, *, day: LocalDay, hold_s: int
) -> tuple[int | None, ...]:
    """Return the mean temperature of each hour of a local day.

    Args:
        at_s: epoch seconds of readings, in any order; also those of the evening
            before that may still hold.
        milli_c: thousandths of °C, or MISSING.
        day: the local day; 23 or 25 hours long where clocks change, and its last
            hour shorter where they change by half an hour.
        hold_s: seconds for which a reading stays in force at most.

    Returns:
        Thousandths of °C, weighted by time, rounded to the nearest; None where less
        than half of the hour is known.

    Source:
        ADR 0002.
    """
    from_s, until_s, values = held(at_s, milli_c, day=day, hold_s=hold_s)
    begins_s = np.arange(day.start_s, day.end_s, HOUR_S)
    ends_s = np.minimum(begins_s + HOUR_S, day.end_s)
    shared_s = np.minimum(until_s[:, None], ends_s) - np.maximum(
        from_s[:, None], begins_s
    )
    shared_s = np.maximum(shared_s, 0)
    known_s = shared_s.sum(axis=0)
    sums = (shared_s * values[:, None]).sum(axis=0)
    return tuple(
        round(int(total) / int(known)) if known and 2 * known >= whole else None
        for total, known, whole in zip(sums, known_s, ends_s - begins_s, strict=True)
    )
