"""Shares with intervals, exact tests, survival: small, exact, without a library.

What a reader may check by hand or with any statistics program; tests hold them to
published tables and to a reference library.
"""

from clutches.rules.statistics.proportions import (
    Share,
    binomial_test,
    clopper_pearson,
    wilson,
)
from clutches.rules.statistics.survival import (
    Comparison,
    Course,
    Lasting,
    Step,
    kaplan_meier,
    log_rank,
)

__all__ = [
    "Comparison",
    "Course",
    "Lasting",
    "Share",
    "Step",
    "binomial_test",
    "clopper_pearson",
    "kaplan_meier",
    "log_rank",
    "wilson",
]
