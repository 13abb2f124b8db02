"""Tables as CSV."""

from collections.abc import Iterator, Sequence

import pyarrow as pa
import pyarrow.compute as pc

from core.csv_tables import FORMULA, as_csv
from core.exports.columns import Column
from core.exports.texts import by_distinct, joined, plain

_FORMULA = "^[" + "".join(f"\\x{ord(sign):02x}" for sign in FORMULA) + "]"
_QUOTED = r'[",\r\n]'


def csv_chunks(
    columns: Sequence[Column], batches: Iterator[pa.RecordBatch]
) -> Iterator[bytes]:
    """Yield a table as CSV, in UTF-8.

    Args:
        columns: of the table.
        batches: its rows; none gives the headings alone.

    Yields:
        Comma, CRLF, quotes doubled; an empty cell is nothing. A text that a
        spreadsheet would take for a formula gets an apostrophe before it.

    Source:
        rfc-4180; csv-formulas for the apostrophe.
    """
    yield as_csv([column.name for column in columns], ()).encode()
    for batch in batches:
        pieces: list[pa.Array | str] = []
        for column in batch.columns:
            pieces += [by_distinct(column, _cells), ","]
        yield joined([*pieces[:-1], "\r\n"], empty="")


def _cells(values: pa.Array) -> pa.Array:
    return _quoted(_guarded(values)) if _is_text(values) else plain(values)


def _is_text(values: pa.Array) -> bool:
    return bool(pa.types.is_string(values.type))


def _guarded(texts: pa.Array) -> pa.Array:
    formulas = pc.match_substring_regex(texts, pattern=_FORMULA)
    return pc.if_else(formulas, pc.binary_join_element_wise("'", texts, ""), texts)


def _quoted(texts: pa.Array) -> pa.Array:
    doubled = pc.replace_substring(texts, pattern='"', replacement='""')
    quoted = pc.binary_join_element_wise('"', doubled, '"', "")
    needed = pc.match_substring_regex(texts, pattern=_QUOTED)
    return pc.if_else(needed, quoted, texts)
