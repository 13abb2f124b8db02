"""Record lists of what a UV-index meter showed: from a walk along the lamps."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from core.errors import DomainError
from core.models import User
from husbandry.actions.care_records import CareResult
from husbandry.actions.lamps import check_lamp
from husbandry.models import Lamp, LampCheck
from husbandry.rules.lamps import LampError
from husbandry.rules.vocabulary import RowOutcome


@dataclass(frozen=True, slots=True)
class LampCheckRow:
    """One line of a list of readings under lamps.

    Attributes:
        lamp: the lamp's key.
        at: when it was measured.
        uv_index: 0 to 20, kept to 0.01.
        distance_cm: from the lamp to the meter, kept to 0.1 cm; None: not measured.
        note: up to 300 characters.
    """

    lamp: int
    at: datetime
    uv_index: Decimal
    distance_cm: Decimal | None = None
    note: str = ""


def check_lamps(
    *, rows: Sequence[LampCheckRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of readings under lamps; a bad line does not keep the others out.

    Each line is its own transaction: a room has few lamps, and a lamp few readings.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order; see `check_lamp`.
    """
    lamps = Lamp.objects.in_bulk({row.lamp for row in rows})
    known = set(
        LampCheck.objects.filter(
            lamp__in=lamps, at__in={row.at for row in rows}
        ).values_list("pk", flat=True)
    )
    results = []
    for row in rows:
        try:
            check = _check(row, lamps.get(row.lamp), by=by, recorded_at=recorded_at)
        except DomainError as refusal:
            results.append(_refused(refusal))
            continue
        outcome = RowOutcome.KNOWN if check.pk in known else RowOutcome.STORED
        known.add(check.pk)
        results.append(CareResult(outcome, check.pk, "", "", ()))
    return tuple(results)


def _check(
    row: LampCheckRow, lamp: Lamp | None, *, by: User | None, recorded_at: datetime
) -> LampCheck:
    if lamp is None:
        raise LampError(
            f"There is no lamp {row.lamp}. Give the number of one on record.",
            fields={"lamp": "the number of a lamp"},
        )
    return check_lamp(
        lamp=lamp,
        uv_index=row.uv_index,
        distance_cm=row.distance_cm,
        at=row.at,
        by=by,
        recorded_at=recorded_at,
        note=row.note,
    )


def _refused(refusal: DomainError) -> CareResult:
    return CareResult(
        RowOutcome.REFUSED,
        None,
        refusal.code,
        refusal.sentence,
        (),
        tuple(refusal.fields.items()),
    )
