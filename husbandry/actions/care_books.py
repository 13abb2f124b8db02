"""The page on which one list of care records is entered, in a few statements.

What is on record at the same instants is fetched once, each line is held against
it and against the lines before, and all that is new is written together.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Generic, TypeVar

from django.db.models import Q

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.care_records import CareResult, as_told, told
from husbandry.models.records import CareRecord
from husbandry.rules.care_entries import CareEntryError, check_note, check_reason
from husbandry.rules.vocabulary import RowOutcome

R = TypeVar("R", bound=CareRecord)
T = TypeVar("T")
Key = tuple[Any, ...]


@dataclass(slots=True)
class Line(Generic[R]):
    """One line as it stands so far; a record without a key is stored at the end."""

    outcome: RowOutcome
    record: R | None
    code: str = ""
    sentence: str = ""
    remarks: tuple[str, ...] = ()
    fields: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Ruling:
    """How entries of one kind are told apart.

    Attributes:
        name: what one is called, in sentences and in the audit trail.
        key: the fields of which the database promises one entry in force.
        content: the other fields that people fill in, but for the note.
    """

    name: str
    key: tuple[str, ...]
    content: tuple[str, ...]


@dataclass(slots=True)
class CareBook(Generic[R]):
    """The page for one list; the subjects of its lines are locked by now.

    So nobody else can write the same between the look and the write: on PostgreSQL
    they wait for the lock, on SQLite there is one writer at a time.
    """

    model: type[R]
    ruling: Ruling
    by: User | None
    recorded_at: datetime
    lines: list[Line[R]] = field(default_factory=list)
    in_force: dict[Key, R] = field(default_factory=dict)
    struck: dict[Key, list[R]] = field(default_factory=dict)
    by_pk: dict[int, R] = field(default_factory=dict)
    replaced_by: dict[int, R] = field(default_factory=dict)

    def look_up(
        self, there: Q, *, corrects: Collection[int], along: Sequence[str]
    ) -> None:
        """Fetch what is on record where lines are to be entered; one query.

        Args:
            there: the entries at the lines' subjects and instants.
            corrects: keys of entries that lines correct.
            along: what belongs to an entry and is fetched with it.
        """
        wanted = there | Q(pk__in=corrects) | Q(corrects__in=corrects)
        manager = self.model._default_manager  # noqa: SLF001 - public API of Django
        rows = manager.select_for_update(of=("self",)).select_related(*along)
        for record in rows.filter(wanted).order_by("pk"):
            self.by_pk[record.pk] = record
            replaced = _replaced(record)
            if replaced is not None:
                self.replaced_by[replaced] = record
            if record.struck_at is None:
                self.in_force[self._key(record)] = record
            else:
                self.struck.setdefault(self._key(record), []).append(record)

    def enter_each(self, rows: Sequence[T], enter: Callable[[T], None]) -> None:
        """Enter rows one by one; what is refused does not keep the others out."""
        for row in rows:
            try:
                enter(row)
            except DomainError as refusal:
                self.lines.append(
                    Line(
                        RowOutcome.REFUSED,
                        None,
                        refusal.code,
                        refusal.sentence,
                        fields=tuple(refusal.fields.items()),
                    )
                )

    def enter(
        self, record: R, *, corrects: int | None, check: Callable[[], tuple[str, ...]]
    ) -> None:
        """Enter one line, unless it is on record.

        Args:
            record: as the line says, not stored.
            corrects: key of the entry that it replaces, or None.
            check: asked only for what is not on record; returns remarks.

        Raises:
            DomainError: the entry is refused; nothing of it is kept.
        """
        check_note(record.note)
        known = self._known(record, corrects)
        if known is not None:
            told_off = (self._on_struck(known),) if known.struck_at else ()
            self.lines.append(Line(RowOutcome.KNOWN, known, remarks=told_off))
            return
        old = None if corrects is None else self._to_correct(record, corrects)
        self._check_place(record, besides=old)
        remarks = check()
        if old is not None:
            self._strike(old, record)
        record.recorded_by, record.recorded_at = self.by, self.recorded_at
        self.in_force[self._key(record)] = record
        self.lines.append(Line(RowOutcome.STORED, record, remarks=remarks))

    def write(self) -> tuple[CareResult, ...]:
        """Write what is new, in four statements at most, and say what became of all."""
        added, old = self.added(), self.corrected()
        manager = self.model._default_manager  # noqa: SLF001 - public API of Django
        if old:
            manager.bulk_update(old, ["struck_at", "struck_by", "struck_reason"])
        if added:
            manager.bulk_create(added)
            audit.record_all(
                [self._deed(r) for r in added], by=self.by, at=self.recorded_at
            )
        return tuple(
            CareResult(
                line.outcome,
                None if line.record is None else line.record.pk,
                line.code,
                line.sentence,
                line.remarks,
                line.fields,
            )
            for line in self.lines
        )

    def added(self) -> list[R]:
        """Return the records that are new."""
        return [
            line.record
            for line in self.lines
            if line.outcome is RowOutcome.STORED and line.record is not None
        ]

    def corrected(self) -> list[R]:
        """Return the records that new ones replace."""
        keys = (_replaced(record) for record in self.added())
        return [self.by_pk[pk] for pk in keys if pk is not None]

    def _key(self, record: R) -> Key:
        return tuple(getattr(record, name) for name in self.ruling.key)

    def _content(self, record: R) -> Key:
        return tuple(getattr(record, name) for name in self.ruling.content)

    def _same(self, one: R, other: R) -> bool:
        return (*self._content(one), one.note) == (*self._content(other), other.note)

    def _known(self, record: R, corrects: int | None) -> R | None:
        """Return the entry on record that says the same.

        A struck-out one counts too: a list sent in again must not undo or refuse
        what a person has mended since.
        """
        key = self._key(record)
        if corrects is not None:
            others = (
                [self.replaced_by[corrects]] if corrects in self.replaced_by else []
            )
        else:
            in_force = self.in_force.get(key)
            others = [in_force] if in_force is not None else []
            others += self.struck.get(key, [])
        return next(
            (o for o in others if self._key(o) == key and self._same(o, record)), None
        )

    def _on_struck(self, known: R) -> str:
        return (
            f"This {self.ruling.name} is on record and was struck out: "
            f"{known.struck_reason} It stays so. If it was right after all, record it "
            "with an instant a minute later."
        )

    def _to_correct(self, record: R, corrects: int) -> R:
        """Return the entry in force that a line corrects."""
        name, old = self.ruling.name, self.by_pk.get(corrects)
        if old is None:
            raise CareEntryError(
                f"There is no {name} {corrects} to correct. Give the key of one on "
                "record.",
                fields={"corrects": "the key of one on record"},
            )
        if old.struck_at is not None:
            raise CareEntryError(
                f"This {name} was struck out already: {old.struck_reason} Correct the "
                "newer one, or record a new one.",
                fields={"corrects": "one that is not struck out"},
            )
        check_reason(record.note, field="note")
        same_place = self._key(old) == self._key(record)
        if same_place and self._content(old) == self._content(record):
            raise CareEntryError(
                f"The {name} already says that: nothing would change.",
                fields={"corrects": "one that says otherwise"},
            )
        return old

    def _check_place(self, record: R, *, besides: R | None) -> None:
        other = self.in_force.get(self._key(record))
        if other is not None and other is not besides:
            raise CareEntryError(
                f"At {record.at:%Y-%m-%d %H:%M %Z} there is another {self.ruling.name} "
                f"on record ({other}). Correct that one, or give the instant of this "
                "one.",
                fields={"at": f"an instant without such a {self.ruling.name}"},
            )

    def _strike(self, old: R, record: R) -> None:
        old.struck_at, old.struck_by = self.recorded_at, self.by
        old.struck_reason = record.note.strip()
        record.corrects = old
        del self.in_force[self._key(old)]
        self.struck.setdefault(self._key(old), []).append(old)
        self.replaced_by[old.pk] = record

    def _deed(self, record: R) -> audit.Deed:
        old = record.corrects
        name = self.ruling.name.replace(" ", "_")
        if old is None:
            return audit.Deed(record, f"record_{name}", after=told(record))
        return audit.Deed(
            record,
            f"correct_{name}",
            before=as_told(old, record),
            after=told(record),
            reason=record.note.strip(),
        )


def _replaced(record: CareRecord) -> int | None:
    """Return the key of the entry that another corrects, without fetching it."""
    pk: int | None = record.serializable_value("corrects")
    return pk
