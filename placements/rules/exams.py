"""What a look over a whole animal says, part by part; never what it means."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from core.errors import DomainError
from placements.rules.vocabulary import BodySystem, ExamOutcome

LONGEST_NAME = 160
LONGEST_NOTE = 300
CAUTION = (
    "A look over is no diagnosis: what is unusual is shown to a licensed reptile vet. "
    "Wear gloves, support the body, and stop where the animal struggles: a chameleon "
    "bites, and a fall or a firm grip breaks bones. Reptiles can carry Salmonella: wash "
    "hands and tools afterwards, away from kitchens and small children."
)


class ExamError(DomainError):
    """A look over an animal cannot be recorded as given."""

    code = "exam_refused"


@dataclass(frozen=True, slots=True)
class ExamPart:
    """What was seen at one part of an animal.

    Attributes:
        note: in words; needed where something is unusual.
    """

    system: BodySystem
    outcome: ExamOutcome
    note: str = ""


def check_exam(*, examined_by: str, parts: Sequence[ExamPart]) -> tuple[ExamPart, ...]:
    """Return a look over as it is kept: every part, also those not looked at.

    Args:
        examined_by: who looked, up to 160 characters.
        parts: in any order, each once; what is left out was not looked at.

    Returns:
        All parts in their order, from the outside in.

    Raises:
        ExamError: nobody is named, nothing was looked at, a part is given twice, or
            something unusual is not said in words.

    Source:
        House rule: what nobody looked at is kept as such, and never as well.
    """
    name = examined_by.strip()
    if not 0 < len(name) <= LONGEST_NAME:
        raise ExamError(
            f"Say who looked, in 1 to {LONGEST_NAME} characters.",
            fields={"examined_by": f"1 to {LONGEST_NAME} characters"},
        )
    twice = [s.value for s, n in Counter(p.system for p in parts).items() if n > 1]
    if twice:
        raise ExamError(
            f"{', '.join(twice)} is given more than once; give each part once.",
            fields={"parts": "each part once"},
        )
    for part in parts:
        _check_part(part)
    seen = {part.system: part for part in parts}
    if all(p.outcome is ExamOutcome.NOT_LOOKED_AT for p in parts):
        raise ExamError(
            "Nothing was looked at: there is no exam to record.",
            fields={"parts": "at least one that was looked at"},
        )
    return tuple(
        seen.get(system, ExamPart(system, ExamOutcome.NOT_LOOKED_AT))
        for system in BodySystem
    )


def _check_part(part: ExamPart) -> None:
    what = part.system.value.replace("_", " ")
    if part.outcome is ExamOutcome.UNUSUAL and not part.note.strip():
        raise ExamError(
            f"Say in words what is unusual: {what}.",
            fields={part.system.value: "not blank"},
        )
    if len(part.note.strip()) > LONGEST_NOTE:
        raise ExamError(
            f"The note on {what} has {len(part.note.strip())} characters; at most "
            f"{LONGEST_NOTE} are kept.",
            fields={part.system.value: f"at most {LONGEST_NOTE} characters"},
        )
