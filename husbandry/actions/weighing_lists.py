"""Record lists of weighings: from a form, a script or a file."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from core.errors import DomainError
from core.models import User
from husbandry.actions.weights import (
    WeighingError,
    confirm_weighing,
    record_weighing,
)
from husbandry.models import Animal, Weighing
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


def record_weighings(
    *, rows: Sequence[WeighingRow], by: User | None, recorded_at: datetime
) -> tuple[WeighingResult, ...]:
    """Record a list of weighings; a bad line does not keep the others out.

    Args:
        rows: in any order; they are taken in the order of their instants, so that
            each is held against the one before. A line with a reason is confirmed.
        by: the person.
        recorded_at: now.

    Returns:
        One result for each line, in the order given.
    """
    codes = {row.animal for row in rows}
    animals = {a.code: a for a in Animal.objects.filter(code__in=codes)}
    known = set(
        Weighing.objects.filter(
            animal__in=animals.values(), at__in={row.at for row in rows}
        ).values_list("pk", flat=True)
    )
    results: dict[int, WeighingResult] = {}
    for place in sorted(range(len(rows)), key=lambda i: rows[i].at):
        row = rows[place]
        try:
            weighing = _record_row(
                row, animals.get(row.animal), by=by, recorded_at=recorded_at
            )
        except DomainError as refusal:
            results[place] = WeighingResult(
                RowOutcome.REFUSED, None, refusal.code, refusal.sentence
            )
        else:
            was_known = weighing.pk in known
            outcome = RowOutcome.KNOWN if was_known else RowOutcome.STORED
            results[place] = WeighingResult(outcome, weighing.pk, "", "")
            known.add(weighing.pk)
    return tuple(results[place] for place in range(len(rows)))


def _record_row(
    row: WeighingRow, animal: Animal | None, *, by: User | None, recorded_at: datetime
) -> Weighing:
    if animal is None:
        raise WeighingError(
            f"There is no animal {row.animal!r}. Give the code on its label.",
            fields={"animal": "the code of an animal"},
        )
    if row.reason:
        return confirm_weighing(
            animal=animal,
            mass_g=row.mass_g,
            at=row.at,
            by=by,
            recorded_at=recorded_at,
            reason=row.reason,
        )
    return record_weighing(
        animal=animal, mass_g=row.mass_g, at=row.at, by=by, recorded_at=recorded_at
    )
