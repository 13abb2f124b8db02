"""Several tables in one ZIP, made while it is sent."""

import json
from collections.abc import Generator, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

import pyarrow as pa
from django.core.files.storage import default_storage

from core.exports.columns import Column
from core.exports.forms import Form
from core.exports.reading import Selected
from core.exports.sinks import Sink
from core.exports.snapshots import snapshot
from core.exports.tables import LeftOut

FORMAT = "spurbook-export"
VERSION = 1
"""Of the manifest's own shape and of the rules by which files are written."""
MANIFEST = "manifest.json"
_PIECE = 2**16
_QUICKLY = 1


@dataclass(frozen=True, slots=True)
class Contents:
    """What goes into one archive.

    Attributes:
        about: what it is about, in words.
        form: of the tables.
        tables: in their order.
        left_out: tables that are not among them, and why.
        made_at: when.
        made_by: name of who asked.
    """

    about: str
    form: Form
    tables: Sequence[Selected]
    left_out: Sequence[LeftOut]
    made_at: datetime
    made_by: str


@dataclass(slots=True)
class _Told:
    """What the manifest will say."""

    tables: list[dict[str, Any]] = field(default_factory=list)
    files: list[dict[str, Any]] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)


def archive_chunks(contents: Contents) -> Generator[bytes, None, None]:
    """Yield tables, their files and a manifest as one ZIP, all as of one instant.

    Args:
        contents: what goes in. Nothing of it is held in memory but one batch of rows,
            and of each file its name and sum.

    Yields:
        The archive in parts. Its directory comes last, so one that was broken off
        has none.

    Source:
        zip-appnote
    """
    sink, told = Sink(), _Told(left_out=list(contents.left_out))
    with ZipFile(sink, "w") as archive, snapshot():  # type: ignore[call-overload] # the stubs ask for a way back
        for part in _parts(archive, contents, told):
            if part and (data := sink.taken(least=_PIECE)):
                yield data
    yield sink.taken()


def _parts(archive: ZipFile, contents: Contents, told: _Told) -> Iterator[bool]:
    for table in contents.tables:
        yield from _table(archive, table, contents, told)
    for table in contents.tables:
        for name in table.files():
            yield from _file(archive, name, contents, told)
    document = json.dumps(_manifest(contents, told), ensure_ascii=False, indent=1)
    member = _Member(MANIFEST, contents.made_at)
    yield from member.written(archive, [document.encode()])


def _table(
    archive: ZipFile, table: Selected, contents: Contents, told: _Told
) -> Iterator[bool]:
    form, counted = contents.form, _Counted()
    member = _Member(f"{table.name}.{form.name}", contents.made_at, packed=form.packed)
    batches = counted.through(table.batches())
    yield from member.written(archive, form.write(table.columns, batches))
    told.left_out.extend(table.left_out)
    told.tables.append(
        {
            "file": member.name,
            "table": table.name,
            "rows": counted.rows,
            "bytes": member.size,
            "sha256": member.sum.hexdigest(),
            "columns": [_column(column) for column in table.columns],
        }
    )


def _column(column: Column) -> dict[str, str]:
    kind = "json" if column.document else str(column.kind)
    if pa.types.is_dictionary(column.kind):
        kind = str(column.kind.value_type)
    return {
        "name": column.name,
        "type": kind,
        "unit": column.unit,
        "meaning": column.meaning,
    }


def _file(
    archive: ZipFile, name: str, contents: Contents, told: _Told
) -> Iterator[bool]:
    member = _Member(f"files/{name}", contents.made_at, packed=True)
    try:
        kept = default_storage.open(name)
    except OSError:
        told.left_out.append(LeftOut(member.name, "The file is not in the store."))
        return
    with kept:
        yield from member.written(archive, kept.chunks(_PIECE))
    told.files.append(
        {"file": member.name, "bytes": member.size, "sha256": member.sum.hexdigest()}
    )


def _manifest(contents: Contents, told: _Told) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "version": VERSION,
        "about": contents.about,
        "form": contents.form.name,
        "made_at": contents.made_at.astimezone(UTC).isoformat().replace("+00:00", "Z"),
        "made_by": contents.made_by,
        "tables": told.tables,
        "files": told.files,
        "left_out": [asdict(one) for one in told.left_out],
    }


@dataclass(slots=True)
class _Counted:
    """Counts rows that pass."""

    rows: int = 0

    def through(self, batches: Iterable[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
        for batch in batches:
            self.rows += batch.num_rows
            yield batch


class _Member:
    """One file of an archive, and its sum."""

    def __init__(self, name: str, at: datetime, *, packed: bool = False) -> None:
        self.name = name
        self.size = 0
        self.sum = sha256()
        self._info = ZipInfo(name, at.astimezone(UTC).timetuple()[:6])
        self._info.compress_type = ZIP_STORED if packed else ZIP_DEFLATED
        self._info._compresslevel = _QUICKLY  # type: ignore[attr-defined] # noqa: SLF001
        self._info.external_attr = 0o600 << 16

    def written(self, archive: ZipFile, chunks: Iterable[bytes]) -> Iterator[bool]:
        """Write the file, and say after each part that there is something to send."""
        # How large it becomes, nobody knows yet: it may be more than 4 GiB.
        with archive.open(self._info, "w", force_zip64=True) as member:
            for chunk in chunks:
                member.write(chunk)
                self.sum.update(chunk)
                self.size += len(chunk)
                yield True
