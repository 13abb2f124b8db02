"""From the channels of a file to readings of probes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from husbandry.rules.loggers.readings import Parsed
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.reading_reports import quantity_name
from husbandry.rules.readings import QUANTITIES, Longs, ReadingColumns


@dataclass(frozen=True, slots=True)
class ChannelProbe:
    """The probe that a file's channel belongs to."""

    channel: str
    probe_id: int
    code: str
    measures: tuple[bool, bool, bool]
    """Whether it is set up to measure each of `QUANTITIES`."""


@dataclass(frozen=True, slots=True, eq=False)
class ProbeReadings:
    """Readings of a file by probe, each with the line that it came from."""

    columns: ReadingColumns
    lines: Longs
    left_out: tuple[str, ...]
    """A sentence for each quantity that a probe is not set up to measure."""


def readings_of_probes(parsed: Parsed, probes: Sequence[ChannelProbe]) -> ProbeReadings:
    """Give the readings of each channel to its probe.

    Args:
        parsed: the file.
        probes: channels without a probe are left out.

    Returns:
        The readings; values of a quantity that the probe is not set up to measure
        are left out and counted, and readings that hold nothing else with them.
    """
    by_channel = {probe.channel: probe for probe in probes}
    parts = [ReadingColumns.of(probe_ids=[], at=[])]
    lines = [np.empty(0, dtype=np.int64)]
    left_out: list[str] = []
    for channel in parsed.channels:
        probe = by_channel.get(channel.channel)
        if probe is None:
            continue
        own = []
        for quantity, column, measured in zip(
            QUANTITIES,
            (
                channel.temperature_milli_c,
                channel.humidity_milli_pct,
                channel.uv_index_milli,
            ),
            probe.measures,
            strict=True,
        ):
            count = int((column != MISSING).sum())
            if count and not measured:
                left_out.append(
                    f"{count} values of {quantity_name(quantity)} were left out: probe "
                    f"{probe.code} is not set up to measure that."
                )
            own.append(column if measured else np.full_like(column, MISSING))
        ids = np.full(len(channel.at), probe.probe_id, dtype=np.int64)
        has_value = np.logical_or.reduce([column != MISSING for column in own])
        parts.append(ReadingColumns(ids, channel.at, *own).take(has_value))
        lines.append(channel.line[has_value])
    return ProbeReadings(_joined(parts), np.concatenate(lines), tuple(left_out))


def _joined(parts: Sequence[ReadingColumns]) -> ReadingColumns:
    return ReadingColumns(
        np.concatenate([part.probe_ids for part in parts]),
        np.concatenate([part.at for part in parts]),
        *(
            np.concatenate(columns)
            for columns in zip(*(part.values() for part in parts), strict=True)
        ),
    )
