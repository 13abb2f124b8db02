"""Phases of an incubation plan as people type them: one a line."""

import re
from decimal import Decimal, InvalidOperation

from clutches.rules.facts import Phase
from clutches.rules.incubation.plans import IncubationPlanError
from clutches.rules.vocabulary import PhaseKind

SHAPE = (
    "warm or cool; how many days, or “until they hatch”; the band in °C; by night, "
    "where it differs"
)
EXAMPLE = "warm; 45 days; 25.0–28.0; 24.0–26.0"
_BAND = re.compile(r"\s*(-?[\d.]+)\s*(?:-|–|to)\s*(-?[\d.]+)\s*(?:°\s*C)?\s*")
_DAYS = re.compile(r"(\d{1,5})\s*(?:days?)?")
_OPEN = frozenset({"", "until they hatch"})


def read_phases(text: str) -> tuple[Phase, ...]:
    """Return the phases that are typed, one a line; empty lines are passed over.

    Whether eggs can be kept by them, `check_plan` says.

    Args:
        text: lines such as `warm; 45 days; 25.0–28.0; 24.0–26.0`. Without the last
            part the same band holds by night.

    Raises:
        IncubationPlanError: a line cannot be read; the sentence names it.

    Source:
        House rule, no source.
    """
    lines = [line.strip() for line in text.splitlines()]
    return tuple(_phase(line) for line in lines if line)


def _phase(line: str) -> Phase:
    parts = [part.strip() for part in line.split(";")]
    kinds = {kind.value: kind for kind in PhaseKind}
    kind = kinds.get(parts[0].lower())
    if kind is None or len(parts) not in (3, 4):
        raise _refusal(line)
    day = _band(parts[2], line)
    night = _band(parts[3], line) if len(parts) == 4 else day
    return Phase(kind, _days(parts[1].lower(), line), *day, *night)


def _days(text: str, line: str) -> int | None:
    if text in _OPEN:
        return None
    found = _DAYS.fullmatch(text)
    if found is None:
        raise _refusal(line)
    return int(found[1])


def _band(text: str, line: str) -> tuple[Decimal, Decimal]:
    found = _BAND.fullmatch(text)
    try:
        if found is not None:
            return Decimal(found[1]), Decimal(found[2])
    except InvalidOperation as error:
        raise _refusal(line) from error
    raise _refusal(line)


def _refusal(line: str) -> IncubationPlanError:
    return IncubationPlanError(
        f"{line!r} is no phase. Give, with semicolons between: {SHAPE}; such as "
        f"{EXAMPLE!r}.",
        fields={"phases": EXAMPLE},
    )
