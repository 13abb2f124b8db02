"""Readings under codes that no probe has: judged, bounded and packed until claimed."""

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.readings import Longs, ProbesInUse, ReadingColumns

LONGEST_CODE = 40
MOST_CODES = 100
MOST_OF_ONE = 100_000
"""Readings under one code: most of a year, one every five minutes. House rule, no
source; likewise the others."""
MOST_ALTOGETHER = 500_000
_INT64, _INT32 = np.dtype("<i8"), np.dtype("<i4")


@dataclass(frozen=True, slots=True, eq=False)
class UnclaimedColumns:
    """Readings as they were sent, under codes that nobody knows.

    Attributes:
        codes: each once.
        readings: their `probe_ids` are places in `codes`.
    """

    codes: tuple[str, ...]
    readings: ReadingColumns

    def __len__(self) -> int:
        return len(self.readings)


@dataclass(frozen=True, slots=True)
class Waiting:
    """How much waits already: readings by code."""

    readings: Mapping[str, int]

    @property
    def altogether(self) -> int:
        """Return how many readings wait under all codes."""
        return sum(self.readings.values())


def any_probes(count: int) -> ProbesInUse:
    """Return probes of which nothing is known, so that they could measure anything.

    Args:
        count: how many; their ids are 0 and up.
    """
    bounds = np.iinfo(np.int64)
    everything = np.ones(count, dtype=np.bool_)
    return ProbesInUse(
        ids=np.arange(count, dtype=np.int64),
        from_s=np.full(count, bounds.min),
        until_s=np.full(count, bounds.max),
        hold_s=np.zeros(count, dtype=np.int64),
        measures=(everything, everything, everything),
        site_ids=np.zeros(count, dtype=np.int64),
    )


def could_be_a_code(text: str) -> bool:
    """Say whether a probe could have this code on its label."""
    return 0 < len(text) <= LONGEST_CODE and text.isprintable() and text == text.strip()


def no_room(code: str, count: int, waiting: Waiting) -> tuple[str, str] | None:
    """Return why readings cannot be kept, and what could; None: they can.

    Args:
        code: as sent.
        count: how many more of it.
        waiting: what is kept already.

    Source:
        ADR 0019.
    """
    mend = "add the probe, or claim or discard what waits, then send again"
    of_it, altogether = waiting.readings.get(code, 0), waiting.altogether
    if code not in waiting.readings and len(waiting.readings) >= MOST_CODES:
        return (
            f"nobody knows {code!r}, and {MOST_CODES} unknown codes wait already",
            f"what is of known probes: {mend}",
        )
    if of_it + count > MOST_OF_ONE:
        return (
            f"nobody knows {code!r}, and {of_it:,} readings of it wait already",
            f"at most {MOST_OF_ONE:,} of one unknown code: {mend}",
        )
    if altogether + count > MOST_ALTOGETHER:
        return (
            f"nobody knows {code!r}, and {altogether:,} readings of unknown codes wait "
            "already",
            f"at most {MOST_ALTOGETHER:,} altogether: {mend}",
        )
    return None


def packed(readings: ReadingColumns) -> bytes:
    """Return instants and values in few bytes; whose they are is not among them."""
    return zlib.compress(_bytes(readings))


def digest_of(readings: ReadingColumns) -> str:
    """Return what is the same for the same readings, whatever order they came in.

    Args:
        readings: of one code, ordered by instant, each instant once.
    """
    return sha256(_bytes(readings)).hexdigest()


def _bytes(readings: ReadingColumns) -> bytes:
    values = [column.astype(_INT32).tobytes() for column in readings.values()]
    return b"".join([readings.at.astype(_INT64).tobytes(), *values])


def unpacked(chunks: Sequence[bytes], *, probe_id: int) -> ReadingColumns:
    """Return packed readings, one chunk after the other, as those of a probe.

    Args:
        chunks: at least one, each as `packed` made it.
        probe_id: whose they are.
    """
    parts = [_columns(chunk) for chunk in chunks]
    at, *values = (np.concatenate(same) for same in zip(*parts, strict=True))
    ids: Longs = np.full(len(at), probe_id, dtype=np.int64)
    return ReadingColumns(ids, at, *values)


def _columns(chunk: bytes) -> list[NDArray[Any]]:
    raw = zlib.decompress(chunk)
    count = len(raw) // (_INT64.itemsize + 3 * _INT32.itemsize)
    at = np.frombuffer(raw, dtype=_INT64, count=count).astype(np.int64)
    rest = np.frombuffer(raw, dtype=_INT32, offset=count * _INT64.itemsize)
    return [at, *(part.astype(np.int32) for part in np.split(rest, 3))]
