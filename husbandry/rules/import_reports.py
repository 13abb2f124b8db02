"""What became of a file of readings, in counts and sentences."""

from collections.abc import Iterator
from collections.abc import Mapping as Named
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from typing import Any, Self

from husbandry.rules.import_columns import ProbeReadings
from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.readings import Parsed
from husbandry.rules.loggers.sentences import note_sentence, refusal_sentence
from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from husbandry.rules.loggers.zones import SITE
from husbandry.rules.reading_reports import (
    MOST_LISTED,
    StoreReport,
    instant_text,
    quantity_name,
)

_ORDERS = {
    DayOrder.DMY: "; dates have the day first",
    DayOrder.MDY: "; dates have the month first",
}
_UNITS = {Unit.C: " in °C", Unit.F: " in °F", Unit.PERCENT: " in %"}


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What one file came to. Kept as it is beside the record of the import."""

    file_name: str
    accepted: bool
    reason: str = ""
    """Why the file was refused whole; empty where it was accepted."""
    read_as: tuple[str, ...] = ()
    """One sentence for each column that was taken, and for the clock."""
    first_at: str = ""
    """First instant, ISO 8601 in UTC; empty without readings."""
    last_at: str = ""
    rows_read: int = 0
    rows_refused: int = 0
    """Rows that gave nothing because something in them was refused."""
    readings: int = 0
    """Readings that the rows gave: one for each probe and instant."""
    stored: int = 0
    completed: int = 0
    """Known instants to which a quantity was added."""
    known: int = 0
    conflicting: int = 0
    refused: int = 0
    """Readings that could be read, and not stored."""
    refusals: tuple[str, ...] = ()
    """A sentence for each refused row, value or reading, at most `MOST_LISTED`."""
    refusals_in_all: int = 0
    notes: tuple[str, ...] = ()
    saved_as: str = ""
    """Name of the source that the mapping was saved for."""

    def to_document(self) -> dict[str, Any]:
        """Return the report as a JSON document."""
        return asdict(self)

    @classmethod
    def from_document(cls, document: dict[str, Any]) -> Self:
        """Return the report of a JSON document; parts it lacks stay empty."""
        names = {field.name for field in fields(cls)}
        values: dict[str, Any] = {
            name: tuple(value) if isinstance(value, list) else value
            for name, value in document.items()
            if name in names
        }
        return cls(**values)

    def lines(self, *, at_most: int = MOST_LISTED) -> tuple[str, ...]:
        """Return the report as sentences, most important first.

        Args:
            at_most: how many refusals are listed one by one; 0 or more. The
                others are counted.

        Returns:
            One sentence for each line.
        """
        if not self.accepted:
            return (f"{self.file_name} was refused. {self.reason}",)
        return (
            *self._counts(),
            *self.read_as,
            *self.notes,
            *self.refusals[:at_most],
            *self._not_listed(min(at_most, len(self.refusals))),
        )

    def _counts(self) -> tuple[str, ...]:
        rows = f"{self.file_name}: {_count(self.rows_read, 'row')} read"
        span = f", from {self.first_at} to {self.last_at}" if self.first_at else ""
        parts = [
            f"{_count(self.stored, 'reading')} stored",
            f"{self.completed} completed with another quantity"
            if self.completed
            else "",
            f"{self.known} known already",
            f"{self.conflicting} different from what is stored, which stays"
            if self.conflicting
            else "",
            f"{self.refused} refused" if self.refused else "",
            f"{_count(self.rows_refused, 'row')} refused" if self.rows_refused else "",
        ]
        saved = (
            (f"The mapping is saved for the source {self.saved_as!r}.",)
            if self.saved_as
            else ()
        )
        return (f"{rows}{span}.", f"{', '.join(filter(None, parts))}.", *saved)

    def _not_listed(self, listed: int) -> tuple[str, ...]:
        more = self.refusals_in_all - listed
        return (f"… and {more} more like these.",) if more else ()


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def report_import(
    *,
    file_name: str,
    mapping: Mapping,
    codes: Named[str, str],
    parsed: Parsed,
    given: ProbeReadings,
    stored: StoreReport,
    seen_before: datetime | None,
    saved_as: str,
) -> ImportReport:
    """Put together what became of an accepted file.

    Args:
        file_name: its name.
        mapping: as it was read.
        codes: code of the probe by channel.
        parsed: its rows.
        given: its readings by probe.
        stored: what became of those.
        seen_before: when the very same file was taken in first; None if never.
        saved_as: the source that the mapping is saved for; empty for none.
    """
    again = (
        f"The very same file was taken in before, on {seen_before:%d %b %Y at %H:%M} UTC."
        if seen_before
        else ""
    )
    unreadable = [refusal_sentence(refusal) for refusal in parsed.refused]
    not_stored = [
        f"Line {given.lines[refusal.index]}: {refusal.reason}."
        for refusal in stored.refusals
    ]
    at = given.columns.at
    return ImportReport(
        file_name=file_name,
        accepted=True,
        read_as=tuple(read_as(mapping, codes)),
        first_at=instant_text(int(at.min())),
        last_at=instant_text(int(at.max())),
        rows_read=parsed.rows_read,
        rows_refused=parsed.rows_refused,
        readings=len(given.columns),
        stored=stored.stored,
        completed=stored.completed,
        known=stored.known + stored.repeated,
        conflicting=stored.conflicting,
        refused=stored.refused,
        refusals=(*unreadable, *not_stored)[:MOST_LISTED],
        refusals_in_all=len(unreadable) + stored.refused + stored.conflicting,
        notes=(
            *filter(None, [again]),
            *given.left_out,
            *(note_sentence(note) for note in parsed.notes),
        ),
        saved_as=saved_as,
    )


def read_as(mapping: Mapping, codes: Named[str, str]) -> Iterator[str]:
    """Yield a sentence for each column that is read, and one for the clock.

    Args:
        mapping: decided or not; what is undecided is not spoken of.
        codes: code of the probe by channel; a channel without one is not named.
    """
    for column in mapping.values:
        unit = _UNITS.get(column.unit, "") if column.unit else ""
        code = codes.get(column.channel, "")
        probe = f" of probe {code}" if code and mapping.channel_column is None else ""
        yield f"{column.name!r} is {quantity_name(column.quantity)}{unit}{probe}."
    if mapping.channel_column is not None:
        yield (
            "Channels: "
            + ", ".join(
                f"{channel!r} is probe {code}" for channel, code in codes.items()
            )
            + "."
        )
    order = _ORDERS.get(mapping.day_order, "") if mapping.day_order else ""
    zone = "the site's local time" if mapping.zone == SITE else mapping.zone
    if mapping.zone:
        yield f"The clock runs in {zone}{order}."
