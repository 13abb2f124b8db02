"""Tables as Parquet."""

from collections.abc import Iterator, Sequence

import pyarrow as pa
import pyarrow.parquet as pq

from core.exports.columns import Column
from core.exports.reading import schema_of
from core.exports.sinks import Sink

GROUP_ROWS = 2**16
GROUP_BYTES = 2**23
"""Of a group of rows before it is written: this is what memory has to hold."""


def parquet_chunks(
    columns: Sequence[Column], batches: Iterator[pa.RecordBatch]
) -> Iterator[bytes]:
    """Yield a table as a Parquet file.

    Args:
        columns: of the table; units and meanings stand in their metadata.
        batches: its rows; none gives a file with the schema alone.

    Yields:
        The file in parts. Its footer comes last, so a file that was broken off is
        none.

    Source:
        parquet-format
    """
    sink = Sink()
    writer = pq.ParquetWriter(
        sink,
        schema_of(columns),
        compression="zstd",
        version="2.6",
        store_decimal_as_integer=True,
    )
    for group in _groups(batches):
        writer.write_table(group, row_group_size=len(group))
        yield sink.taken()
    writer.close()
    yield sink.taken()


def _groups(batches: Iterator[pa.RecordBatch]) -> Iterator[pa.Table]:
    gathered: list[pa.RecordBatch] = []
    for batch in batches:
        gathered.append(batch)
        rows = sum(one.num_rows for one in gathered)
        if rows >= GROUP_ROWS or sum(one.nbytes for one in gathered) >= GROUP_BYTES:
            yield _table(gathered)
            gathered = []
    if gathered:
        yield _table(gathered)


def _table(batches: list[pa.RecordBatch]) -> pa.Table:
    return pa.Table.from_batches(batches).unify_dictionaries()
