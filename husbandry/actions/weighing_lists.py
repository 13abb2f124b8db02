"""Record lists of weighings: from a form, a script or a file."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from core.errors import DomainError
from core.models import User
from core.row_refusals import RowRefusal, check_all_taken
from husbandry.actions.animal_books import lock_subjects
from husbandry.actions.weighing_books import (
    Expectation,
    WeighingBook,
    open_weighing_book,
)
from husbandry.actions.weighing_checks import WeighingError, check_reason
from husbandry.models import Weighing
from husbandry.rules.masses import round_mass
from husbandry.rules.vocabulary import RowOutcome


@dataclass(frozen=True, slots=True)
class WeighingRow:
    """One line of a list of weighings.

    Attributes:
        animal: the animal's code.
        reason: why an unlikely mass is right; "": nobody has confirmed it.
    """

    animal: str
    at: datetime
    mass_g: Decimal
    reason: str = ""


@dataclass(frozen=True, slots=True)
class WeighingResult:
    """What became of one line.

    Attributes:
        weighing: the row that now stands for it, or None where it was refused.
        code: the refusal's code, or "".
        sentence: why it was refused, or "".
    """

    outcome: RowOutcome
    weighing: int | None
    code: str
    sentence: str


@transaction.atomic
def record_weighings(
    *, rows: Sequence[WeighingRow], by: User | None, recorded_at: datetime
) -> tuple[WeighingResult, ...]:
    """Record a list of weighings; a bad line does not keep the others out.

    As many queries for many as for one, but for each line whose mass is unlikely:
    of that it is asked who else may have been on the scale.

    Args:
        rows: in any order; they are taken in the order of their instants, so that
            each is held against the one before. A line with a reason is confirmed.
        by: the person.
        recorded_at: now.

    Returns:
        One result for each line, in the order given.

    Raises:
        WeighingError: somebody has recorded another weighing of one of the animals
            at the same moment; then nothing is recorded.
    """
    if not rows:
        return ()
    book = open_weighing_book(
        subjects=lock_subjects(rows),
        from_at=min(row.at for row in rows),
        until_at=max(row.at for row in rows),
        by=by,
        recorded_at=recorded_at,
    )
    lines = [_Line(row) for row in rows]
    for line in sorted(lines, key=lambda one: one.row.at):
        line.enter(book)
    book.write()
    for line in lines:
        line.ask_about_neighbours()
    return tuple(line.result() for line in lines)


@transaction.atomic
def record_all_weighings(
    *,
    rows: Sequence[WeighingRow],
    unread: Sequence[RowRefusal] = (),
    by: User | None,
    recorded_at: datetime,
) -> tuple[WeighingResult, ...]:
    """Record every weighing of a list, or none of them.

    Args:
        rows: see `record_weighings`.
        unread: lines of the same list that could not be read, by their places in
            it; with one of them none is recorded.
        by: the person.
        recorded_at: now.

    Returns:
        One result for each line, in the order given.

    Raises:
        RowsRefusedError: lines are refused; it names each and why.
    """
    results = record_weighings(rows=rows, by=by, recorded_at=recorded_at)
    check_all_taken(results, unread=unread)
    return results


@dataclass(slots=True)
class _Line:
    """One line as it stands so far."""

    row: WeighingRow
    weighing: Weighing | None = None
    is_new: bool = False
    unlikely: tuple[Weighing, Expectation] | None = None
    code: str = ""
    sentence: str = ""

    def enter(self, book: WeighingBook) -> None:
        """Enter it, or keep why not."""
        try:
            self._enter(book)
        except DomainError as refusal:
            self.code, self.sentence = refusal.code, refusal.sentence

    def _enter(self, book: WeighingBook) -> None:
        row, animal = self.row, book.subjects.animals.get(self.row.animal)
        if animal is None:
            raise WeighingError(
                f"There is no animal {row.animal!r}. Give the code on its label.",
                fields={"animal": "the code of an animal"},
            )
        if row.reason:
            check_reason(row.reason)
        weighing = Weighing(
            animal=animal, at=row.at, mass_g=round_mass(row.mass_g), note=row.reason
        )
        found = book.enter(weighing, confirmed=bool(row.reason))
        if isinstance(found, Expectation):
            self.unlikely = (weighing, found)
        else:
            self.weighing, self.is_new = found, found is weighing

    def ask_about_neighbours(self) -> None:
        """Refuse an unlikely mass; only now, when the lines before it are stored."""
        if self.unlikely is not None:
            weighing, expected = self.unlikely
            try:
                expected.check(weighing)
            except DomainError as refusal:
                self.code, self.sentence = refusal.code, refusal.sentence

    def result(self) -> WeighingResult:
        """Return what became of it."""
        if self.weighing is None:
            return WeighingResult(RowOutcome.REFUSED, None, self.code, self.sentence)
        outcome = RowOutcome.STORED if self.is_new else RowOutcome.KNOWN
        return WeighingResult(outcome, self.weighing.pk, "", "")
