"""The forms in which tables are exported."""

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass

import pyarrow as pa

from core.exports.columns import Column
from core.exports.csv_form import csv_chunks
from core.exports.ndjson_form import ndjson_chunks
from core.exports.parquet_form import parquet_chunks
from core.exports.reading import Selected
from core.exports.snapshots import snapshot

Writer = Callable[[Sequence[Column], Iterator[pa.RecordBatch]], Iterator[bytes]]


@dataclass(frozen=True, slots=True)
class Form:
    """One form.

    Attributes:
        name: also the ending of a file's name.
        write: yields rows in it.
        packed: it is compressed in itself.
    """

    name: str
    write: Writer
    packed: bool = False


CSV = Form("csv", csv_chunks)
NDJSON = Form("ndjson", ndjson_chunks)
PARQUET = Form("parquet", parquet_chunks, packed=True)
FORMS = (CSV, NDJSON, PARQUET)


def table_chunks(table: Selected, *, form: Form) -> Generator[bytes, None, None]:
    """Yield one table in one form, all as of one instant.

    Args:
        table: its rows; they are read while this is iterated over.
        form: CSV, NDJSON or Parquet.
    """
    with snapshot():
        yield from form.write(table.columns, table.batches())
