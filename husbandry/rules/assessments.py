"""What a rule says is wrong, before a night makes a finding of it."""

from dataclasses import dataclass
from typing import Any

from husbandry.rules.profiles.values import Provenance
from husbandry.rules.vocabulary import FindingKind, Urgency


@dataclass(frozen=True, slots=True)
class Assessment:
    """One thing that is wrong with one animal, enclosure, room or site.

    Attributes:
        facts: the numbers that made it, as plain JSON values.
        rule_id: the profile's row; "" where no row stands behind it.
        provenance: of that row, or None.
        detail: what tells it from others of its kind about the same subject.
        decided: False where the data do not suffice to say yes or no.
        animal, enclosure, room: whom it is about, by key; none of them: the site.
    """

    kind: FindingKind
    urgency: Urgency
    facts: dict[str, Any]
    rule_id: str = ""
    provenance: Provenance | None = None
    detail: tuple[str, ...] = ()
    decided: bool = True
    animal: int | None = None
    enclosure: int | None = None
    room: int | None = None
