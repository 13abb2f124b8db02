"""Simulate the demo's fortnight, write it as logger files, and import them."""

from datetime import datetime
from pathlib import Path

import numpy as np

from core.models import User
from demo import scenario
from demo.climate import simulate
from demo.enclosures import ENCLOSURES, FILES, PROBES
from demo.equipment import bodies, drive
from demo.faults import BREAKDOWNS, TROUBLES
from demo.files import write_files
from demo.instruments import Series, record
from demo.nights import STEP_S, Nights
from husbandry.actions.imports import import_logger_file
from husbandry.queries.logger_files import probes_by_code


def measured(nights: Nights) -> list[Series]:
    """Return what every probe of the demo recorded, faults and all.

    Args:
        nights: the demo's calendar; the same calendar gives the same series.
    """
    work = drive(
        ENCLOSURES,
        rooms=scenario.ROOMS,
        breakdowns=BREAKDOWNS,
        nights=nights,
        generator=np.random.default_rng(scenario.SEED),
    )
    climate = simulate(bodies(ENCLOSURES), work, step_s=STEP_S)
    places = {plan.code: place for place, plan in enumerate(ENCLOSURES)}
    return [
        record(
            probe,
            climate=climate,
            place=places[probe.enclosure],
            nights=nights,
            troubles=TROUBLES,
            seed=scenario.SEED,
        )
        for probe in PROBES
    ]


def write_logger_files(*, nights: Nights, folder: Path) -> list[Path]:
    """Simulate the fortnight and write what the loggers kept of it.

    Args:
        nights: the demo's calendar.
        folder: where to; made if it is not there.

    Returns:
        The files.
    """
    folder.mkdir(parents=True, exist_ok=True)
    series = measured(nights)
    return write_files(series, dialects=FILES, zone=nights.zone, folder=folder)


def import_file(path: Path, *, by: User, at: datetime) -> int:
    """Import one of the files, each instrument of it for its own probe.

    Args:
        path: as written by `write_logger_files`.
        by: who brought it.
        at: when.

    Returns:
        How many readings it brought.
    """
    channels = {p.channel: p.code for p in PROBES if p.file == path.name}
    probes = probes_by_code(codes=channels.values())
    report = import_logger_file(
        data=path.read_bytes(),
        file_name=path.name,
        probe_for={channel: probes[code] for channel, code in channels.items()},
        save_as=path.stem,
        by=by,
        at=at,
    )
    return report.stored
