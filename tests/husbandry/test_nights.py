"""A night read from the database, summed up, and written back."""

from collections.abc import Generator, Iterator
from datetime import UTC, date, datetime
from random import Random

import numpy as np
import pytest
from django.db import Error, connection, transaction
from django.db.transaction import TransactionManagementError
from numpy.typing import NDArray

from husbandry.actions.conditions import write_conditions
from husbandry.models import Conditions, Reading
from husbandry.queries.copying import copied_out, row_type
from husbandry.queries.nights import night_readings
from husbandry.rules.conditions import (
    MISSING,
    QUANTITIES,
    Band,
    NightConditions,
    NightPlan,
    Readings,
    summarise,
)
from husbandry.rules.vocabulary import Quantity
from tests.factories import ConditionsFactory, ProbeFactory
from tests.husbandry.night_in_sql import summed_in_sql
from tests.rules.conditions.days import rows

pytestmark = pytest.mark.django_db

ON = date(2026, 3, 2)
START = int(datetime(2026, 3, 2, tzinfo=UTC).timestamp())
END = START + 86_400

on_postgresql = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="COPY is PostgreSQL's own"
)


@pytest.fixture
def probe_ids() -> NDArray[np.int64]:
    probes = [ProbeFactory.create() for _ in range(6)]
    return np.array([probe.pk for probe in probes][::-1], np.int64)


def store(
    probe_id: int,
    at: int,
    temperature_milli_c: int | None = 24_000,
    humidity_milli_pct: int | None = 45_000,
    uv_index_milli: int | None = 1_500,
) -> None:
    """Store one reading of a probe that exists; no factory, which would add one."""
    Reading.objects.create(
        probe_id=probe_id,
        at=at,
        temperature_milli_c=temperature_milli_c,
        humidity_milli_pct=humidity_milli_pct,
        uv_index_milli=uv_index_milli,
    )


def invented(random: Random, probe_ids: NDArray[np.int64]) -> NightPlan:
    """Store a day of readings with gaps and nonsense; return a plan for it."""
    bounds, hold_s, bands, stored = [], [], [], []
    for probe, probe_id in enumerate(probe_ids.tolist()):
        on_s = random.randrange(START, END)
        bounds.append((START, on_s, random.randrange(on_s, END), END))
        interval_s = random.choice([300, 1200, 7200])
        hold_s.append(3 * interval_s)
        for quantity in random.sample(QUANTITIES, random.randint(1, 3)):
            bands += [
                Band(probe, quantity, number, *_limits(random))
                for number in range(random.randint(1, 2))
            ]
        for at in range(START - 4 * interval_s, END + interval_s, interval_s):
            if random.random() < 0.85:
                at_s = at + random.randrange(interval_s)
                stored.append(
                    Reading(
                        probe_id=probe_id,
                        at=at_s,
                        temperature_milli_c=_value(random),
                        humidity_milli_pct=_value(random),
                        uv_index_milli=_value(random),
                    )
                )
    random.shuffle(stored)
    Reading.objects.bulk_create(stored)
    return NightPlan.of(bounds=bounds, hold_s=hold_s, bands=bands)


def _limits(random: Random) -> Iterator[int]:
    for _ in range(2):
        low, high = sorted(random.randrange(5_000, 15_000, 500) for _ in range(2))
        yield random.choice([low, MISSING])
        yield random.choice([high, MISSING])


def _value(random: Random) -> int | None:
    if random.random() < 0.1:
        return random.choice([None, -40_000, 120_000])
    return random.randrange(0, 20_000, 1_000)


@pytest.mark.parametrize("seed", range(5))
def test_the_kernel_agrees_with_the_database_summing_by_itself(
    seed: int, probe_ids: NDArray[np.int64]
) -> None:
    plan = invented(Random(seed), probe_ids)
    from_s = plan.bounds[:, 0] - plan.hold_s

    taken = night_readings(probe_ids=probe_ids, from_s=from_s, until_s=END)

    assert rows(summarise(taken, plan)) == summed_in_sql(plan, probe_ids)


def as_rows(taken: Readings) -> list[tuple[int, ...]]:
    return sorted(
        zip(
            taken.probe.tolist(),
            taken.at.tolist(),
            *(column.tolist() for column in taken.values),
            strict=True,
        )
    )


def test_a_night_has_the_probes_asked_for_in_the_window_and_nothing_else(
    probe_ids: NDArray[np.int64],
) -> None:
    first, second, other = probe_ids[:3].tolist()
    for probe_id, at in [
        (first, START - 1),
        (first, START),
        (second, END - 1),
        (second, END),
        (other, START),
    ]:
        store(
            probe_id=probe_id,
            at=at,
            temperature_milli_c=-5,
            humidity_milli_pct=None,
            uv_index_milli=7,
        )

    few = night_readings(probe_ids=np.array([second, first]), from_s=START, until_s=END)
    most = night_readings(
        probe_ids=np.setdiff1d(probe_ids, [other])[::-1], from_s=START, until_s=END
    )

    assert as_rows(few) == [(0, END - 1, -5, MISSING, 7), (1, START, -5, MISSING, 7)]
    assert len(most) == 2


def test_each_probe_is_read_from_its_own_instant(
    probe_ids: NDArray[np.int64],
) -> None:
    day_s = 86_400
    for probe_id in probe_ids[:2].tolist():
        for at in (START - 3 * day_s, START - 10, START + 10):
            store(probe_id=probe_id, at=at)

    taken = night_readings(
        probe_ids=probe_ids[:2],
        from_s=np.array([START - 4 * day_s, START - 60]),
        until_s=END,
    )

    assert [row[:2] for row in as_rows(taken)] == [
        (0, START - 3 * day_s),
        (0, START - 10),
        (0, START + 10),
        (1, START - 10),
        (1, START + 10),
    ]


def test_without_probes_or_readings_a_night_is_empty(
    probe_ids: NDArray[np.int64],
) -> None:
    nobody = np.empty(0, np.int64)

    assert len(night_readings(probe_ids=nobody, from_s=START, until_s=END)) == 0
    assert len(night_readings(probe_ids=probe_ids, from_s=START, until_s=END)) == 0


def test_more_readings_than_one_chunk_come_whole(
    probe_ids: NDArray[np.int64],
) -> None:
    number = 2**16 + 5
    Reading.objects.bulk_create(
        [
            Reading(probe_id=int(probe_ids[0]), at=START + n, temperature_milli_c=n)
            for n in range(number)
        ],
        batch_size=5_000,
    )

    taken = night_readings(probe_ids=probe_ids, from_s=START, until_s=END)

    order = np.argsort(taken.at)
    assert taken.at[order].tolist() == list(range(START, START + number))
    assert taken.temperature[order].tolist() == list(range(number))
    assert set(taken.humidity.tolist()) == {MISSING}
    assert set(taken.probe.tolist()) == {0}


@on_postgresql
def test_what_the_server_refuses_is_raised_and_the_connection_lives_on() -> None:
    row = row_type({"n": ">i4"})
    with pytest.raises(Error, match="does not exist"), transaction.atomic():
        list(copied_out("SELECT n FROM nowhere", row))
    with pytest.raises(Error, match="division by zero"), transaction.atomic():
        list(copied_out("SELECT 1 / (3 - n) FROM generate_series(1, 9) AS n", row))

    chunks = list(copied_out("SELECT n FROM generate_series(1, 20000) AS n", row))

    assert np.concatenate([c["n"] for c in chunks]).tolist() == list(range(1, 20_001))
    assert len(chunks) == 2


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_rows_left_unread_cost_the_connection_rather_than_the_next_answer() -> None:
    row = row_type({"n": ">i4"})
    chunks = copied_out("SELECT n FROM generate_series(1, 90000) AS n", row)
    assert isinstance(chunks, Generator)

    next(chunks)
    chunks.close()

    assert connection.connection is None
    assert Reading.objects.count() == 0


def a_night(probe_ids: NDArray[np.int64]) -> NightPlan:
    """Store one reading of one probe; return a plan in which two have bands."""
    store(
        probe_id=int(probe_ids[1]),
        at=START + 43_200,
        temperature_milli_c=31_500,
        humidity_milli_pct=None,
        uv_index_milli=None,
    )
    noon = (START, START + 21_600, START + 64_800, END)
    return NightPlan.of(
        bounds=[noon] * len(probe_ids),
        hold_s=[900] * len(probe_ids),
        bands=[
            Band(0, Quantity.HUMIDITY_PCT, 0),
            Band(1, Quantity.TEMPERATURE_C, 0, 24_000, 30_000, MISSING, 22_500),
        ],
    )


def summed(plan: NightPlan, probe_ids: NDArray[np.int64]) -> NightConditions:
    return summarise(
        night_readings(probe_ids=probe_ids, from_s=START - 900, until_s=END), plan
    )


def test_conditions_are_written_in_units_with_what_is_missing_empty(
    probe_ids: NDArray[np.int64],
) -> None:
    plan = a_night(probe_ids)

    write_conditions(summed(plan, probe_ids), on=ON, probe_ids=probe_ids)

    names = [field.attname for field in Conditions._meta.concrete_fields]
    written = Conditions.objects.order_by("probe", "quantity", "period").values(*names)
    nothing = dict.fromkeys(names, 0) | dict.fromkeys(
        ("mean", "lowest", "highest", "low", "high")
    )
    warm = {"probe_id": probe_ids[1], "on": ON, "quantity": "temperature_c"}
    humid = {"probe_id": probe_ids[0], "on": ON, "quantity": "humidity_pct"}
    half = {"expected_s": 43_200}
    expected = [
        nothing | humid | half | {"period": "day"},
        nothing | humid | half | {"period": "night"},
        nothing | warm | half | {"period": "day", "low": 24.0, "high": 30.0,
            "readings": 1, "covered_s": 900, "mean": 31.5, "lowest": 31.5,
            "highest": 31.5, "above_s": 900, "longest_above_s": 900,
            "above_unit_minutes": 1.5 * 15},
        nothing | warm | half | {"period": "night", "high": 22.5},
    ]  # fmt: skip
    assert sorted(written, key=lambda row: (row["quantity"], row["period"])) == expected


def test_a_night_written_again_replaces_its_own_and_nothing_else(
    probe_ids: NDArray[np.int64],
) -> None:
    plan = a_night(probe_ids)
    stranger = ConditionsFactory.create(on=ON)
    day_before = ConditionsFactory.create(on=date(2026, 3, 1), probe_id=probe_ids[1])
    gone = ConditionsFactory.create(on=ON, probe_id=probe_ids[5])

    for _ in range(2):
        write_conditions(summed(plan, probe_ids), on=ON, probe_ids=probe_ids)

    kept = set(Conditions.objects.values_list("probe", "on"))
    assert kept == {
        (stranger.probe_id, ON),
        (day_before.probe_id, date(2026, 3, 1)),
        (probe_ids[0], ON),
        (probe_ids[1], ON),
    }
    assert Conditions.objects.count() == 2 + 4
    assert not Conditions.objects.filter(probe=gone.probe_id, on=ON).exists()


def test_a_night_without_rows_clears_what_was_written(
    probe_ids: NDArray[np.int64],
) -> None:
    ConditionsFactory.create(on=ON, probe_id=probe_ids[0])
    plan = NightPlan.of(
        bounds=[(START, START, END, END)] * 6, hold_s=[900] * 6, bands=[]
    )

    write_conditions(summed(plan, probe_ids), on=ON, probe_ids=probe_ids)

    assert not Conditions.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_writing_outside_a_transaction_is_refused_with_what_to_do() -> None:
    empty = NightPlan.of(bounds=[], hold_s=[], bands=[])
    nobody = np.empty(0, np.int64)
    kept = ConditionsFactory.create(on=ON)

    with pytest.raises(TransactionManagementError, match=r"inside transaction\.atomic"):
        write_conditions(
            summarise(night_readings(probe_ids=nobody, from_s=0, until_s=1), empty),
            on=ON,
            probe_ids=nobody,
        )

    assert Conditions.objects.get() == kept
