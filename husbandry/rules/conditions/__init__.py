"""What a day's readings add up to: exact, vectorised, pure (ADR 0002)."""

from husbandry.rules.conditions.summing import summarise
from husbandry.rules.conditions.values import (
    MISSING,
    PERIODS,
    QUANTITIES,
    Band,
    Bands,
    NightConditions,
    NightPlan,
    Readings,
)

__all__ = [
    "MISSING",
    "PERIODS",
    "QUANTITIES",
    "Band",
    "Bands",
    "NightConditions",
    "NightPlan",
    "Readings",
    "summarise",
]
