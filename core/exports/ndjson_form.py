"""Tables as JSON, an object a line."""

import json
from collections.abc import Iterator, Sequence

import pyarrow as pa
import pyarrow.compute as pc

from core.exports.columns import Column
from core.exports.texts import Written, by_distinct, joined, plain

# RFC 8259, section 7: what has to be escaped in a string.
_ESCAPED = r'["\\\x00-\x1f]'


def ndjson_chunks(
    columns: Sequence[Column], batches: Iterator[pa.RecordBatch]
) -> Iterator[bytes]:
    """Yield a table as JSON, one object a line, in UTF-8.

    Args:
        columns: of the table.
        batches: its rows; none gives nothing.

    Yields:
        Decimals as numbers with the digits that are stored; instants, days and
        times as text; an empty cell is null.

    Source:
        rfc-8259
    """
    for batch in batches:
        pieces: list[pa.Array | str] = []
        for place, column in enumerate(columns):
            begin = "," if place else "{"
            pieces += [
                f"{begin}{json.dumps(column.name)}:",
                by_distinct(batch.columns[place], _writer(column)),
            ]
        yield joined([*pieces, "}\n"], empty="null")


def _writer(column: Column) -> Written:
    if column.document:
        return _as_it_is
    kind = column.kind
    text = kind.value_type if pa.types.is_dictionary(kind) else kind
    if pa.types.is_string(text):
        return _strings
    return _in_quotes if pa.types.is_temporal(kind) else _numbers


def _as_it_is(values: pa.Array) -> pa.Array:
    return values


def _strings(texts: pa.Array) -> pa.Array:
    if pc.any(pc.match_substring_regex(texts, pattern=_ESCAPED)).as_py():
        escaped = [
            None if text is None else json.dumps(text, ensure_ascii=False)
            for text in texts.to_pylist()
        ]
        return pa.array(escaped, pa.string())
    return pc.binary_join_element_wise('"', texts, '"', "")


def _in_quotes(values: pa.Array) -> pa.Array:
    return pc.binary_join_element_wise('"', plain(values), '"', "")


def _numbers(values: pa.Array) -> pa.Array:
    told = plain(values)
    if pa.types.is_floating(values.type):
        # JSON has no word for what is no number.
        return pc.if_else(pc.is_finite(values), told, None)
    return told
