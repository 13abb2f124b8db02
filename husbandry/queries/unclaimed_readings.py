"""Readings under codes that no probe has."""

from dataclasses import dataclass
from datetime import datetime

from husbandry.models import UnclaimedReadings
from husbandry.rules.vocabulary import UnclaimedState


@dataclass(frozen=True, slots=True)
class WaitingCode:
    """An unknown code under which readings wait.

    Attributes:
        readings: how many were sent.
        since_at: when the first of them came in.
    """

    code: str
    readings: int
    since_at: datetime


def waiting_codes() -> tuple[WaitingCode, ...]:
    """Return the codes under which readings wait, the first that came first; one query.

    There are at most `MOST_CODES` of them.
    """
    rows = UnclaimedReadings.objects.filter(state=UnclaimedState.WAITING.value)
    found = rows.order_by("arrived_at", "pk")
    return tuple(
        WaitingCode(code, readings, since_at)
        for code, readings, since_at in found.values_list(
            "code", "readings", "arrived_at"
        )
    )
