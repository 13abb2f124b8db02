"""The small values that pages are laid out from."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """A label and what stands beside it; a second line where there is one."""

    label: str
    text: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class TargetRow:
    """One band of conditions as it is printed, in the home's unit and the other."""

    spot: str
    wanted: str
    otherwise: str
    limits: str
    tolerated: str
    basis: str
    others: tuple[str, ...]
    agreed: str


@dataclass(frozen=True, slots=True)
class SignGroup:
    """Warning signs of one urgency: its word and its shape, never colour alone."""

    urgency: str
    heading: str
    signs: tuple[Row, ...]
    calls: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class NoteGroup:
    """Notes on one topic."""

    heading: str
    notes: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class SheetDay:
    """One cell of the month sheet; `label` is empty where no day of it falls."""

    label: str
    feed: bool
    extra: bool
    supplements: str


@dataclass(frozen=True, slots=True)
class ChangeBlock:
    """A life stage to come."""

    heading: str
    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing, and the line under it."""

    svg: str
    caption: str
