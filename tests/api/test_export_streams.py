"""Exports while they are being sent: bounded, of one instant, and broken off in the open."""

import tracemalloc
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any
from zipfile import BadZipFile, ZipFile

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq
import pytest
from django.db import OperationalError, connection, transaction
from django.http import StreamingHttpResponse
from rest_framework.test import APIClient, APIRequestFactory

from api import streams
from core.exports.archives import Contents, archive_chunks
from core.exports.columns import Column
from core.exports.forms import CSV, FORMS, NDJSON, PARQUET, Form, table_chunks
from core.exports.reading import Selected, all_rows, selected
from core.exports.snapshots import snapshot
from husbandry.models import Weighing
from husbandry.queries.exports import WEIGHINGS
from tests.factories import AnimalFactory, SiteFactory, UserFactory

AT = datetime(2026, 3, 2, tzinfo=UTC)
ROWS = 4_096
MASS = pa.decimal128(21, 2)
COLUMNS = (
    Column("id", pa.int64()),
    Column("mass_g", MASS),
    Column("note", pa.string()),
)


def batches(count: int, *, fail: bool = False) -> Iterator[pa.RecordBatch]:
    """Rows that are made when they are asked for; each batch has others."""
    for number in range(count):
        ids = pa.array(np.arange(number * ROWS, (number + 1) * ROWS))
        note = pc.binary_join_element_wise("not like row ", ids.cast(pa.string()), "")
        yield pa.RecordBatch.from_arrays(
            [ids, ids.cast(MASS), note], names=[column.name for column in COLUMNS]
        )
    if fail:
        raise OperationalError("The server has gone.")


def made(count: int, *, fail: bool = False) -> Selected:
    return Selected("made", COLUMNS, lambda: batches(count, fail=fail))


def contents(form: Form, table: Selected) -> Contents:
    return Contents("a test", form, [table], [], AT, "ada")


def drained(chunks: Iterator[bytes]) -> tuple[int, int]:
    """How many bytes came, and how many the program held at most meanwhile."""
    size, before = 0, pa.total_allocated_bytes()
    most = 0
    tracemalloc.start()
    for chunk in chunks:
        size += len(chunk)
        most = max(most, pa.total_allocated_bytes() - before)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return size, peak + most


@pytest.mark.django_db
@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
@pytest.mark.parametrize("packed", [False, True])
def test_memory_does_not_grow_with_the_rows(form: Form, packed: bool) -> None:
    def chunks(count: int) -> Iterator[bytes]:
        table = made(count)
        if packed:
            return archive_chunks(contents(form, table))
        return table_chunks(table, form=form)

    drained(chunks(1))  # what is made once and kept

    small, held_for_small = drained(chunks(20))
    large, held_for_large = drained(chunks(80))

    assert large > 3.5 * small
    # Held whole, it would be four times as much.
    assert held_for_large < 1.3 * held_for_small
    assert held_for_large < 24 * 2**20


@pytest.mark.django_db
def test_what_breaks_on_the_way_is_no_whole_file() -> None:
    got: dict[str, bytes] = {}
    for name, chunks in {
        "parquet": table_chunks(made(20, fail=True), form=PARQUET),
        "zip": archive_chunks(contents(CSV, made(20, fail=True))),
    }.items():
        data = BytesIO()
        with pytest.raises(OperationalError):
            data.writelines(chunks)
        got[name] = data.getvalue()

    assert min(map(len, got.values())) > 100_000
    with pytest.raises(pa.ArrowInvalid, match=r"magic bytes|footer"):
        pq.read_table(BytesIO(got["parquet"]))
    with pytest.raises(BadZipFile):
        ZipFile(BytesIO(got["zip"]))


@pytest.fixture
def elsewhere(transactional_db: None) -> Iterator[Any]:
    """A second connection to the test's database, as another process has one."""
    other = connection.copy("elsewhere")
    yield other
    other.close()


def weigh(count: int) -> None:
    animal = AnimalFactory()
    recorded = UserFactory()
    Weighing.objects.bulk_create(
        Weighing(
            animal=animal,
            at=datetime.fromtimestamp(1_772_000_000 + n, UTC),
            mass_g=Decimal("20.10"),
            recorded_by=recorded,
            recorded_at=AT,
        )
        for n in range(count)
    )


def weighings() -> Any:
    table = selected(WEIGHINGS, rows=all_rows(WEIGHINGS), person=UserFactory())
    return table_chunks(table, form=NDJSON)


@pytest.mark.skipif(
    connection.vendor != "postgresql",
    reason="the tests' SQLite is in memory and has no second connection; a file is "
    "served in test_export_server",
)
def test_rows_that_come_meanwhile_are_not_among_them(elsewhere: Any) -> None:
    weigh(10_001)
    chunks = weighings()
    first = next(chunks)

    with elsewhere.cursor() as cursor:
        cursor.execute("DELETE FROM husbandry_weighing")
    rest = b"".join(chunks)

    assert (first + rest).count(b"\n") == 10_001
    assert Weighing.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_closed_early_it_lets_go_of_its_transaction() -> None:
    weigh(10_001)
    chunks = weighings()
    next(chunks)
    assert connection.in_atomic_block

    chunks.close()

    assert not connection.in_atomic_block
    assert connection.is_usable()
    SiteFactory(code="afterwards")  # written in a transaction of its own
    if connection.vendor == "sqlite":
        assert connection.transaction_mode == "IMMEDIATE"


@pytest.mark.django_db(transaction=True)
def test_a_snapshot_writes_nothing_on_postgresql() -> None:
    if connection.vendor != "postgresql":
        return

    with pytest.raises(Exception, match="read-only transaction"), snapshot():
        SiteFactory(code="never")


@pytest.mark.django_db(transaction=True)
def test_within_a_transaction_it_sees_what_that_sees() -> None:
    with transaction.atomic():
        SiteFactory(code="inside")
        with snapshot():
            assert b"inside" not in b"".join(weighings())
        assert connection.in_atomic_block


def answer(chunks: Iterator[bytes]) -> Any:
    request: Any = APIRequestFactory().get("/")
    return streams.streamed(request, chunks, kind="text/csv", name="x.csv")  # type: ignore[arg-type] # any generator


def some(count: int = 3) -> Iterator[bytes]:
    for _ in range(count):
        yield b"x"


@pytest.mark.django_db
def test_so_many_at_once_and_no_more() -> None:
    running = [answer(some()) for _ in range(streams.AT_ONCE)]
    for one in running:
        next(iter(one))

    with pytest.raises(streams.TooManyError) as refused:
        answer(some())

    assert (refused.value.status_code, refused.value.wait) == (429, 30)
    running[0].close()
    fourth = answer(some())
    assert isinstance(fourth, StreamingHttpResponse)
    assert b"".join(fourth) == b"xxx"
    running[1].close()
    answer(some())


@pytest.mark.django_db
def test_one_too_many_is_told_when_to_come_again(
    viewer: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(streams, "AT_ONCE", 0)

    refused = viewer.get("/api/v1/exports/readings/csv/")

    assert refused.status_code == 429
    assert refused["Retry-After"] == "31"
    assert refused.json()["code"] == "too_many_exports"


def test_one_that_is_read_too_slowly_is_broken_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(streams, "LONGEST_S", -1)

    with pytest.raises(streams.TooSlowError):
        b"".join(answer(some()))

    with streams.RUNNING.one_more():
        streams.RUNNING.check()
