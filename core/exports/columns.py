"""What a column holds: its type, its unit and its meaning, from the model's field."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import pyarrow as pa
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

INSTANT = pa.timestamp("us", "UTC")
WORD = pa.dictionary(pa.int32(), pa.string())
DOCUMENT = b"document"
"""Key in a column's metadata: its texts are JSON."""

# By the last part of a column's name: names carry their units.
UNITS: Mapping[str, str] = {
    "c": "°C",
    "cm": "cm",
    "count": "1",
    "days": "d",
    "deg": "°",
    "g": "g",
    "hours": "h",
    "kg": "kg",
    "minutes": "min",
    "ml": "mL",
    "months": "month",
    "ms": "ms",
    "pct": "%",
    "s": "s",
}
_PLAIN: tuple[tuple[type[models.Field[Any, Any]], pa.DataType], ...] = (
    (models.BooleanField, pa.bool_()),
    (models.DateTimeField, INSTANT),
    (models.DateField, pa.date32()),
    (models.TimeField, pa.time64("us")),
    (models.BigIntegerField, pa.int64()),
    (models.BigAutoField, pa.int64()),
    (models.IntegerField, pa.int32()),
    (models.FloatField, pa.float64()),
)
_MEASURED = (models.DecimalField, models.FloatField, models.IntegerField)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of an exported table.

    Attributes:
        name: in the file.
        kind: type in Arrow's and Parquet's terms.
        unit: empty where it has none.
        meaning: in words; empty where the name says it all.
        document: its texts are JSON.
    """

    name: str
    kind: pa.DataType
    unit: str = ""
    meaning: str = ""
    document: bool = False

    def in_schema(self) -> pa.Field:
        """Return the column as a schema has it, with unit and meaning."""
        told = {"unit": self.unit, "meaning": self.meaning}
        metadata = {name.encode(): text.encode() for name, text in told.items() if text}
        if self.document:
            metadata[DOCUMENT] = b"json"
        return pa.field(self.name, self.kind, metadata=metadata or None)


def column_of(path: str, found: models.Field[Any, Any]) -> Column:
    """Return the column that a field makes.

    Args:
        path: to the field; two underscores become one.
        found: the field.

    Raises:
        TypeError: nobody has said what such a field becomes.
    """
    name = path.replace("__", "_")
    return Column(
        name=name,
        kind=_kind(found),
        unit=_unit(path, found),
        meaning=str(found.help_text),
        document=isinstance(found, models.JSONField),
    )


def _kind(found: models.Field[Any, Any]) -> pa.DataType:
    if isinstance(found, models.ForeignKey):
        return _kind(found.target_field)
    if isinstance(found, models.DecimalField):
        return pa.decimal128(found.max_digits, found.decimal_places)
    if isinstance(found, models.CharField) and (found.choices or found.unique):
        return WORD
    for kind, plain in _PLAIN:
        if isinstance(found, kind):
            return plain
    if isinstance(found, models.CharField | models.TextField | models.FileField):
        return pa.string()
    if isinstance(found, models.JSONField):
        return pa.string()
    raise TypeError(f"Nobody has said what a {type(found).__name__} becomes.")


def _unit(path: str, found: models.Field[Any, Any]) -> str:
    last = path.rpartition("_")[2]
    return UNITS.get(last, "") if isinstance(found, _MEASURED) else ""


def reader_of(found: models.Field[Any, Any]) -> Callable[[Any], Any] | None:
    """Return what makes a stored value one for its column; None: nothing has to."""
    if isinstance(found, models.JSONField):
        return _written
    if isinstance(found, models.FileField):
        return str
    return None


def _written(value: object) -> str:
    return json.dumps(
        value, cls=DjangoJSONEncoder, ensure_ascii=False, separators=(",", ":")
    )
