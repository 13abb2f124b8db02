"""Which column means what: proposed, corrected by a person, saved, used again."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import TypeVar
from zoneinfo import ZoneInfo

from husbandry.rules.loggers.lexicon import SENTINELS
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import (
    ClockForm,
    DayOrder,
    Unit,
    Untrusted,
    facts,
)
from husbandry.rules.loggers.zones import SITE, find_zone
from husbandry.rules.vocabulary import Quantity

UNITS_OF = {
    Quantity.TEMPERATURE_C: (Unit.C, Unit.F),
    Quantity.HUMIDITY_PCT: (Unit.PERCENT, Unit.FRACTION),
    Quantity.UV_INDEX: (Unit.INDEX,),
}
_UTC = ZoneInfo("UTC")
_Word = TypeVar("_Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class ValueColumn:
    """One column of numbers."""

    index: int
    name: str
    quantity: Quantity
    unit: Unit | None
    """None: a person has to say."""
    channel: str
    """Which instrument of the file; empty when the file has only one."""


@dataclass(frozen=True, slots=True)
class Mapping:
    """How the columns of one source's files are to be read."""

    header: tuple[str, ...]
    """The headings it was made for; a file with the same ones uses it as it is."""
    stamp_columns: tuple[int, ...]
    """Joined with blanks they are the stamp: date, time, half of the day."""
    clock: ClockForm
    day_order: DayOrder | None
    """None: a person has to say."""
    zone: str
    """`site`, `+01:00` or an IANA name; empty: a person has to say."""
    decimal_mark: str
    values: tuple[ValueColumn, ...]
    channel_column: int | None = None
    probes: tuple[tuple[str, str], ...] = ()
    """(channel, probe code); an empty code leaves that channel out."""
    sentinels: tuple[str, ...] = SENTINELS
    """Numbers that mean that nothing was measured."""

    def with_day_order(self, order: DayOrder) -> "Mapping":
        """Return the mapping with the day order that a person gave."""
        return replace(self, day_order=order)

    def with_zone(self, zone: str) -> "Mapping":
        """Return the mapping with the zone that a person gave."""
        return checked(replace(self, zone=zone))

    def with_unit(self, unit: Unit, *, index: int | None = None) -> "Mapping":
        """Return the mapping with a unit that a person gave.

        Args:
            unit: the unit.
            index: of one column; None for every column that can have that unit.
        """
        values = tuple(
            replace(column, unit=unit)
            if unit in UNITS_OF[column.quantity] and index in (None, column.index)
            else column
            for column in self.values
        )
        return replace(self, values=values)

    def with_value(
        self, *, index: int, quantity: Quantity, unit: Unit, channel: str = ""
    ) -> "Mapping":
        """Return the mapping with one more column of readings, named by a person."""
        name = self.header[index] if index < len(self.header) else ""
        column = ValueColumn(
            index, name or f"column {index + 1}", quantity, unit, channel
        )
        others = tuple(known for known in self.values if known.index != index)
        return checked(replace(self, values=(*others, column)))

    def with_probes(self, probes: Iterable[tuple[str, str]]) -> "Mapping":
        """Return the mapping with the channels given to probes."""
        return replace(self, probes=tuple(probes))

    @property
    def undecided(self) -> tuple[str, ...]:
        """Return the names of what a person still has to say."""
        parts = {
            "day_order": self.day_order is None,
            "zone": not self.zone,
            "values": not self.values,
            "unit": any(column.unit is None for column in self.values),
        }
        return tuple(name for name, missing in parts.items() if missing)


def to_document(mapping: Mapping) -> dict[str, object]:
    """Return a mapping as a JSON document."""
    return asdict(mapping)


def from_document(document: object) -> Mapping:
    """Return the mapping of a JSON document.

    Args:
        document: as `to_document` wrote it, or as a person sent it.

    Raises:
        UntrustedFileError: mapping_unusable, naming the part and what it may be.
    """
    if not isinstance(document, dict):
        raise _unusable("mapping", type(document).__name__, "an object")
    known = set(Mapping.__slots__)
    strange = sorted(str(key) for key in document if key not in known)
    if strange:
        raise _unusable(strange[0], document[strange[0]], ", ".join(sorted(known)))
    return checked(
        Mapping(
            header=_texts(document, "header"),
            stamp_columns=tuple(_indexes(document, "stamp_columns")),
            clock=_word(ClockForm, document, "clock"),
            day_order=_optional_word(DayOrder, document, "day_order"),
            zone=_text(document, "zone"),
            decimal_mark=_text(document, "decimal_mark"),
            values=tuple(_value_column(part) for part in _list(document, "values")),
            channel_column=_optional_index(document, "channel_column"),
            probes=tuple(_pair(part) for part in _list(document, "probes")),
            sentinels=_texts(document, "sentinels"),
        )
    )


def checked(mapping: Mapping) -> Mapping:
    """Return a mapping whose parts make sense together.

    Raises:
        UntrustedFileError: mapping_unusable.
    """
    if mapping.decimal_mark not in (".", ","):
        raise _unusable("decimal_mark", mapping.decimal_mark, "'.' or ','")
    if mapping.zone and find_zone(mapping.zone, site_zone=_UTC) is None:
        accepted = f"'{SITE}', an offset such as +01:00, an IANA name"
        raise _unusable("zone", mapping.zone, accepted)
    if not mapping.stamp_columns:
        raise _unusable("stamp_columns", [], "the number of at least one column")
    for column in mapping.values:
        if column.unit not in (None, *UNITS_OF[column.quantity]):
            raise _unusable("unit", column.unit, " or ".join(UNITS_OF[column.quantity]))
    _check_unique(mapping.values)
    for number in mapping.sentinels:
        _check_number(number)
    return mapping


def _check_unique(values: tuple[ValueColumn, ...]) -> None:
    taken = [(column.channel, column.quantity) for column in values]
    for pair in taken:
        if taken.count(pair) > 1:
            accepted = "one column for each quantity of a channel"
            raise _unusable("values", f"{pair[0]} {pair[1]}".strip(), accepted)


def _check_number(text: str) -> None:
    try:
        Decimal(text)
    except InvalidOperation as error:
        raise _unusable("sentinels", text, "numbers such as -200") from error


def _unusable(part: str, value: object, accepted: str) -> UntrustedFileError:
    named = facts(part=part, value=value, accepted=accepted)
    return UntrustedFileError(Untrusted.MAPPING_UNUSABLE, named)


def _text(document: dict[object, object], part: str) -> str:
    value = document.get(part)
    if not isinstance(value, str):
        raise _unusable(part, value, "a text")
    return value


def _list(document: dict[object, object], part: str) -> list[object]:
    value = document.get(part, ())
    if not isinstance(value, list | tuple):
        raise _unusable(part, value, "a list")
    return list(value)


def _texts(document: dict[object, object], part: str) -> tuple[str, ...]:
    values = _list(document, part)
    if not all(isinstance(value, str) for value in values):
        raise _unusable(part, values, "a list of texts")
    return tuple(str(value) for value in values)


def _index(part: str, value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise _unusable(part, value, "a column's number, counted from 0")
    return value


def _indexes(document: dict[object, object], part: str) -> list[int]:
    return [_index(part, value) for value in _list(document, part)]


def _optional_index(document: dict[object, object], part: str) -> int | None:
    value = document.get(part)
    return None if value is None else _index(part, value)


def _word(words: type[_Word], document: dict[object, object], part: str) -> _Word:
    value = document.get(part)
    try:
        return words(str(value))
    except ValueError as error:
        raise _unusable(part, value, ", ".join(words)) from error


def _optional_word(
    words: type[_Word], document: dict[object, object], part: str
) -> _Word | None:
    return None if document.get(part) is None else _word(words, document, part)


def _value_column(part: object) -> ValueColumn:
    if not isinstance(part, dict):
        raise _unusable("values", part, "objects")
    return ValueColumn(
        index=_index("index", part.get("index")),
        name=_text(part, "name"),
        quantity=_word(Quantity, part, "quantity"),
        unit=_optional_word(Unit, part, "unit"),
        channel=_text(part, "channel"),
    )


def _pair(part: object) -> tuple[str, str]:
    if not isinstance(part, list | tuple) or len(part) != 2:
        raise _unusable("probes", part, "pairs of a channel and a probe's code")
    return str(part[0]), str(part[1])
