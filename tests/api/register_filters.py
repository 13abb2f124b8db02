"""What is asked of the register and of papers, and the two rows of each."""

from datetime import timedelta
from typing import Any

from tests.factories import NOW, TODAY, AnimalPaperFactory, RegisterEntryFactory

YESTERDAY = TODAY - timedelta(days=1)

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("register-entries", "animal", "a", "a"),
    ("register-entries", "direction", "left", "b"),
    ("register-entries", "how", "loss", "b"),
    ("register-entries", "from_on", str(TODAY), "a"),
    ("register-entries", "until_on", str(YESTERDAY), "b"),
    ("register-entries", "corrected", "true", "b"),
    ("papers", "animal", "a", "a"),
    ("papers", "species", "b", "b"),
    ("papers", "kind", "keeping_permit", "b"),
    ("papers", "cites_source", "F", "a"),
    ("papers", "ends_until", str(YESTERDAY), "b"),
    ("papers", "withdrawn", "true", "b"),
]


def make_register(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Make two rows of each list, from the animals and species that are there."""
    b["register-entries"] = RegisterEntryFactory(
        number=901,
        animal=b["animals"],
        direction="left",
        how="loss",
        on=YESTERDAY,
        placement=b["placements"],
        entered_at=NOW - timedelta(days=1),
    )
    a["register-entries"] = RegisterEntryFactory(
        number=902,
        animal=a["animals"],
        corrects=b["register-entries"],
        home=a["homes"],
        arrival=a["arrivals"],
    )
    a["papers"] = AnimalPaperFactory(animal=a["animals"], cites_source="F")
    b["papers"] = AnimalPaperFactory(
        animal=None,
        species=b["species"],
        kind="keeping_permit",
        valid_until=YESTERDAY,
        withdrawn_at=NOW,
        withdrawn_reason="recorded wrongly",
    )
