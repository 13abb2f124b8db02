"""What looks at heels say of a sex, and what they leave open."""

from clutches.rules.sexing.assessing import assess_sexing
from clutches.rules.sexing.looks import (
    Look,
    SexingError,
    Verdict,
    Why,
    check_markable,
    gives_way,
    seen_of,
    settle,
)
from clutches.rules.sexing.temperatures import RatioTold, ratio_at

__all__ = [
    "Look",
    "RatioTold",
    "SexingError",
    "Verdict",
    "Why",
    "assess_sexing",
    "check_markable",
    "gives_way",
    "ratio_at",
    "seen_of",
    "settle",
]
