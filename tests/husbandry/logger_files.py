"""Files of loggers, invented, in the dialects that loggers write."""

from datetime import UTC, datetime
from typing import Any

from husbandry.actions.imports import import_logger_file
from husbandry.models import Probe, Reading
from husbandry.queries.logger_files import probes_by_code
from husbandry.rules.import_reports import ImportReport
from tests.factories import (
    EnclosureFactory,
    ProbeFactory,
    SiteFactory,
)

NOW = datetime(2026, 4, 2, 12, 0, tzinfo=UTC)

PLAIN = b"""Date;Temperature (\xc2\xb0C);Humidity (%)
2026-03-01 10:00;24,5;48,0
2026-03-01 10:05;24,6;47,5
2026-03-01 10:10;24,8;47,0
2026-03-01 10:15;;
"""
MIXED = b"""Date,Temperature (C),Humidity (%)
2026-03-01 10:00,24.5,48.0
2026-03-01 10:05,fault!,48.0
2026-03-01 10:10,24.8,47.0
2026-13-45 10:15,24.8,47.0
2026-03-01 10:20,24.9,47.0
2026-03-01 10:25,24.9,
"""
TWO_CHANNELS = b"""Time,Ch1 Temperature (C),Ch2 Temperature (C)
2026-03-01 10:00,30.0,22.0
2026-03-01 10:05,31.0,22.5
"""
BY_ROW = b"""Time,Sensor,Temperature (C),Humidity (%)
2026-03-01 10:00,north,30.0,40.0
2026-03-01 10:00,south,22.0,50.0
2026-03-01 10:05,north,31.0,41.0
2026-03-01 10:05,south,22.5,51.0
"""
LOST = b"Date,Temperature (C),Humidity (%)\n" + b"".join(
    b"2026-03-01 %02d:00,%d,%d\n" % (hour, 240 + hour, 480 + hour) for hour in range(24)
)
UNCLEAR = b"""Date,Temperature
03/04/2026 10:00,70.5
03/04/2026 11:00,71.5
"""


def probe_at(zone: str = "Europe/Lisbon", **how: object) -> Probe:
    site = SiteFactory(time_zone=zone)
    probe = ProbeFactory(enclosure=EnclosureFactory(room__site=site), **how)
    return probes_by_code(codes=[probe.code])[probe.code]


def take(data: bytes, probe: Probe | None, **how: object) -> ImportReport:
    probe_for = {} if probe is None else {"": probe}
    given: dict[str, Any] = {"probe_for": probe_for, "by": None, "at": NOW} | how
    return import_logger_file(data=data, file_name="tub.csv", **given)


def stored(probe: Probe) -> list[tuple[str, int | None, int | None]]:
    return [
        (f"{datetime.fromtimestamp(at, UTC):%d %H:%M}", temperature, humidity)
        for at, temperature, humidity in Reading.objects.filter(probe=probe)
        .order_by("at")
        .values_list("at", "temperature_milli_c", "humidity_milli_pct")
    ]


TAKEN = [("01 10:00", 24_500, 48_000), ("01 10:05", 24_600, 47_500)]
TAKEN += [("01 10:10", 24_800, 47_000)]
