"""Invented enclosures with probes, and days of readings as they would arrive.

An enclosure has two probes and, every five minutes, four values: at the basking
spot temperature and UV index, in the air temperature and humidity. Each probe
reports at a second of its own, so rows lie on the disk mixed, and one column of
each row is empty.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
from django.db import connection, transaction
from numpy.typing import NDArray

from core.models import Room, Site
from husbandry.actions.copying import HEADER, TRAILER
from husbandry.models import Enclosure, Probe
from husbandry.rules.conditions import MISSING, Bands, NightPlan, Readings
from husbandry.rules.vocabulary import EnclosureKind, Zone

ON = date(2026, 6, 3)
DAY_S = 86_400
START_S = int(datetime(ON.year, ON.month, ON.day, tzinfo=UTC).timestamp())
INTERVAL_S = 300
HOLD_S = 3 * INTERVAL_S
LIGHTS_ON_S, LIGHTS_OFF_S = 7 * 3600, 19 * 3600
VALUES = 4  # of an enclosure, each interval
# By probe and quantity: low and high by day, low and high by night, thousandths.
WANTED = {
    (0, 0): (28_300, 30_600, MISSING, MISSING),
    (0, 2): (2_000, 4_000, MISSING, 0),
    (1, 0): (21_100, 26_100, 12_800, 18_300),
    (1, 1): (30_000, 50_000, 70_000, 100_000),
}


@dataclass(frozen=True, slots=True)
class Herd:
    """Enclosures that are being measured, with their probes' keys in order."""

    enclosures: int
    probe_ids: NDArray[np.int64]


def stock(enclosures: int) -> Herd:
    """Add a site with enclosures and probes; nothing is read yet."""
    site = Site.objects.create(
        code=f"bench-{enclosures}", name="Bench", time_zone="UTC",
        latitude_deg=0.0, longitude_deg=0.0,
    )  # fmt: skip
    room = Room.objects.create(site=site, code="bench", name="Bench")
    made = Enclosure.objects.bulk_create(
        Enclosure(code=f"{enclosures}-{n}", room=room, kind=EnclosureKind.SCREEN.value)
        for n in range(enclosures)
    )
    probes = Probe.objects.bulk_create(
        Probe(
            code=f"{enclosure.code}-{zone.value}", enclosure=enclosure,
            zone=zone.value, measures_temperature=True,
            measures_humidity=zone is Zone.AMBIENT,
            measures_uv_index=zone is Zone.BASKING,
            interval_s=INTERVAL_S, from_on=date(2026, 1, 1),
        )
        for enclosure in made
        for zone in (Zone.BASKING, Zone.AMBIENT)
    )  # fmt: skip
    return Herd(enclosures, np.array([probe.pk for probe in probes], np.int64))


def night_plan(herd: Herd) -> NightPlan:
    """Return the plan of the measured day: one band for each quantity."""
    places = np.arange(len(herd.probe_ids), dtype=np.int32)
    bands = [(*key, *limits) for key, limits in sorted(WANTED.items())]
    table = np.tile(np.array(bands, np.int32), (herd.enclosures, 1))
    probe = np.repeat(places, len(bands) // 2)
    bounds = START_S + np.array([0, LIGHTS_ON_S, LIGHTS_OFF_S, DAY_S])
    return NightPlan(
        bounds=np.tile(bounds, (len(places), 1)),
        hold_s=np.full(len(places), HOLD_S),
        bands=Bands(
            probe=probe,
            quantity=table[:, 1],
            band=np.zeros_like(probe),
            low_milli=table[:, 2::2],
            high_milli=table[:, 3::2],
        ),
    )


def arriving(herd: Herd, from_s: int, until_s: int) -> Iterator[Readings]:
    """Yield readings interval by interval, in the order in which they arrive."""
    random = np.random.default_rng(20260603)
    phases = np.sort(random.integers(0, INTERVAL_S, len(herd.probe_ids)))
    order = random.permutation(len(herd.probe_ids)).astype(np.int32)
    basking = order % 2 == 0
    for interval_s in range(from_s, until_s, INTERVAL_S):
        hour_s = (interval_s - START_S) % DAY_S
        lit = LIGHTS_ON_S <= hour_s < LIGHTS_OFF_S
        warm = min((hour_s - LIGHTS_ON_S) / 1800, 1.0) if lit else 0.0
        noise = random.normal(0, 1, len(order))
        degrees = np.where(basking, 16 + 13.5 * warm, 16 + 8 * warm) + noise * 0.3
        humidity = np.clip(85 - 45 * warm + noise * 3, 0, 100)
        uv_index = np.clip(3.0 * lit + noise * 0.3 * lit, 0, 20)
        yield Readings(
            probe=order,
            at=interval_s + phases,
            temperature=_milli(degrees, 1),
            humidity=np.where(basking, MISSING, _milli(humidity, 0)).astype(np.int32),
            uv_index=np.where(basking, _milli(uv_index, 1), MISSING).astype(np.int32),
        )


def _milli(values: NDArray[np.float64], decimals: int) -> NDArray[np.int32]:
    """Return what a probe of that resolution would say, in thousandths."""
    return np.asarray(np.round(np.round(values, decimals) * 1000), np.int32)


def load(herd: Herd, *, days_before: float, days_after: float) -> None:
    """Store the measured day and some time around it."""
    from_s = START_S - round(days_before * DAY_S)
    until_s = START_S + DAY_S + round(days_after * DAY_S)
    store = _to_postgresql if connection.vendor == "postgresql" else _to_sqlite
    store(herd, arriving(herd, from_s, until_s))


def _to_postgresql(herd: Herd, arriving: Iterator[Readings]) -> None:
    with (
        connection.cursor() as cursor,
        cursor.copy(
            "COPY husbandry_reading (probe_id, at, temperature_milli_c, "
            "humidity_milli_pct, uv_index_milli) FROM STDIN (FORMAT BINARY)"
        ) as copy,
    ):
        copy.write(HEADER)
        for readings in arriving:
            copy.write(_binary(herd, readings))
        copy.write(TRAILER)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE husbandry_reading")
        cursor.execute("ANALYZE husbandry_probe")


# One empty column of four bytes in each row: rows of both kinds are equally long.
_SAME = [
    ("fields", ">i2"), ("probe bytes", ">i4"), ("probe", ">i8"), ("at bytes", ">i4"),
    ("at", ">i8"), ("degrees bytes", ">i4"), ("degrees", ">i4"),
    ("humidity bytes", ">i4"),
]  # fmt: skip
_BASKING = np.dtype([*_SAME, ("uv bytes", ">i4"), ("uv", ">i4")])
_AMBIENT = np.dtype([*_SAME, ("humidity", ">i4"), ("uv bytes", ">i4")])


def _binary(herd: Herd, readings: Readings) -> bytes:
    """Return rows as PostgreSQL's binary COPY takes them, kinds mixed."""
    rows = np.empty(len(readings), _BASKING)
    rows["fields"], rows["probe bytes"], rows["at bytes"] = 5, 8, 8
    rows["probe"], rows["at"] = herd.probe_ids[readings.probe], readings.at
    rows["degrees bytes"], rows["degrees"] = 4, readings.temperature
    basking = readings.humidity == MISSING
    rows["humidity bytes"] = np.where(basking, -1, 4)
    rows["uv bytes"], rows["uv"] = 4, readings.uv_index
    ambient = rows.view(_AMBIENT)
    humidity = np.where(basking, ambient["humidity"], readings.humidity)
    uv_bytes = np.where(basking, ambient["uv bytes"], -1)
    ambient["humidity"], ambient["uv bytes"] = humidity, uv_bytes
    return rows.tobytes()


def _to_sqlite(herd: Herd, arriving: Iterator[Readings]) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        for readings in arriving:
            columns = [herd.probe_ids[readings.probe].tolist(), readings.at.tolist()]
            columns += [
                [None if value == MISSING else value for value in column.tolist()]
                for column in readings.values
            ]
            cursor.executemany(
                "INSERT INTO husbandry_reading (probe_id, at, temperature_milli_c, "
                "humidity_milli_pct, uv_index_milli) VALUES (%s, %s, %s, %s, %s)",
                list(zip(*columns, strict=True)),
            )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
