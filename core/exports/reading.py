"""Rows of a table in batches of columns, a bounded number at a time."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import islice
from typing import Any

import pyarrow as pa
from django.db.models import Model, Q, QuerySet

from core.exports.columns import Column, column_of, reader_of
from core.exports.tables import LeftOut, Table, field_at, seen_columns
from core.models import User

Batches = Callable[[], Iterator[pa.RecordBatch]]
Reader = Callable[[Any], Any] | None


def _no_files() -> Iterator[str]:
    return iter(())


@dataclass(frozen=True, slots=True)
class Selected:
    """Rows that are to be written.

    Attributes:
        name: of the table, and of its file.
        columns: in their order.
        batches: reads the rows anew each time it is called; nothing is read before.
        left_out: what of this table is not among them.
        files: reads the names of the files that go along, in the store of files.
    """

    name: str
    columns: tuple[Column, ...]
    batches: Batches
    left_out: tuple[LeftOut, ...] = ()
    files: Callable[[], Iterator[str]] = _no_files


def schema_of(columns: Sequence[Column]) -> pa.Schema:
    """Return columns as Arrow and Parquet describe them."""
    return pa.schema([column.in_schema() for column in columns])


def selected(table: Table, *, rows: QuerySet[Any], person: User) -> Selected:
    """Return rows of a table as one person may see them; nothing is read yet.

    Args:
        table: which the person may see.
        rows: which of its rows.
        person: who asks.
    """
    paths, out = seen_columns(table, person)
    fields = [field_at(table.rows, path) for path in paths]
    columns = tuple(map(column_of, paths, fields))
    readers = tuple(map(reader_of, fields))
    ordered = rows.order_by("pk")
    return Selected(
        name=table.name,
        columns=columns,
        batches=partial(_batches, ordered, paths, columns, readers, table.chunk_rows),
        left_out=out,
        files=_files_of(table, ordered, person),
    )


def rows_about(table: Table, *, animal_id: int) -> QuerySet[Any]:
    """Return the rows of a table that are about one animal.

    Args:
        table: one with a path to an animal.
        animal_id: the animal.
    """
    wanted = Q()
    for path in table.of_animal:
        wanted |= Q(**{path: animal_id})
    manager = _manager(table.rows)
    # A row may be about it in two ways, and is exported once.
    return manager.filter(pk__in=manager.filter(wanted).values("pk"))


def all_rows(table: Table) -> QuerySet[Any]:
    """Return all rows of a table."""
    return _manager(table.rows)


def _manager(rows: type[Model]) -> QuerySet[Any]:
    return rows._default_manager.all()  # noqa: SLF001 - Django's public name for it


def _batches(
    rows: QuerySet[Any],
    paths: tuple[str, ...],
    columns: tuple[Column, ...],
    readers: tuple[Reader, ...],
    chunk_rows: int,
) -> Iterator[pa.RecordBatch]:
    """Read rows by a cursor that the server keeps, and let go of each chunk."""
    schema = schema_of(columns)
    found = rows.values_list(*paths).iterator(chunk_size=chunk_rows)
    while chunk := list(islice(found, chunk_rows)):
        values = zip(*chunk, strict=True)
        arrays = list(map(_array, values, columns, readers))
        yield pa.RecordBatch.from_arrays(arrays, schema=schema)


def _array(values: Sequence[Any], column: Column, reader: Reader) -> pa.Array:
    read = values if reader is None else [v if v is None else reader(v) for v in values]
    if pa.types.is_dictionary(column.kind):
        return pa.array(read, column.kind.value_type).dictionary_encode()
    return pa.array(read, column.kind)


def _files_of(
    table: Table, rows: QuerySet[Any], person: User
) -> Callable[[], Iterator[str]]:
    if not table.file or not person.may(table.file_needs or table.needs):
        return _no_files
    kept = rows.exclude(**{table.file: ""}).values_list(table.file, flat=True)
    return lambda: (str(name) for name in kept.iterator(chunk_size=table.chunk_rows))
