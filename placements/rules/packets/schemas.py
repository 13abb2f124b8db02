"""Forms of the document: which there are, and what an older one did not say yet.

A packet that was frozen in an older form is read as a document of today with the
newer parts empty, and written as it was: byte by byte, so that its hash holds.
"""

from collections.abc import Mapping
from typing import Any

FIRST = "packet/1"
SECOND = "packet/2"
NEWEST = SECOND
KNOWN = (FIRST, SECOND)

# Parts that a form does not have, by where they stand: "" is the document itself.
# Never changed once packets of a form are in people's hands; a test holds a packet
# of each form to its hash.
_NEW_IN_SECOND: Mapping[str, tuple[str, ...]] = {
    "": (
        "print",
        "day",
        "months",
        "feeding_orders",
        "buy",
        "before_journey",
        "journey",
        "first_weeks",
        "calls",
        "follow_ups",
        "gates_opened",
        "treatment_handovers",
        "papers",
        "due_back_on",
    ),
    "history": (
        "intakes",
        "earlier_care",
        "quarantines",
        "exams",
        "clutch",
        "spur_checks",
        "mates",
        "feeding",
        "signs",
        "treatments",
        "tests",
    ),
}
_LACKING: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    FIRST: _NEW_IN_SECOND,
    SECOND: {},
}


def as_written(values: dict[str, Any], *, schema: str) -> dict[str, Any]:
    """Return a document's plain values as its own form writes them.

    Args:
        values: of a whole document of today.
        schema: its form, one of those known.

    Returns:
        The same without the parts that the form does not have.
    """
    lacking = _LACKING[schema]
    kept = _without(values, lacking.get("", ()))
    for part, names in lacking.items():
        if part:
            kept[part] = _without(kept[part], names)
    return kept


def _without(values: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if name not in names}
