"""Evidence: the numbers that make a finding, as plain JSON values."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from husbandry.rules.night.facts import AnimalFacts, EnclosureFacts, NightFacts
from husbandry.rules.profiles.resolving import ResolvedTarget
from husbandry.rules.profiles.values import Disagreement, Provenance

Json = dict[str, Any]


def of_animal(animal: AnimalFacts, enclosure: EnclosureFacts | None) -> Json:
    """Return who it is about, and where."""
    return {"animal": animal.label, **of_place(enclosure)}


def of_place(enclosure: EnclosureFacts | None) -> Json:
    """Return where it is; nothing where that is not known."""
    if enclosure is None:
        return {}
    return {"enclosure": enclosure.code, "room": enclosure.room}


def home(animal: AnimalFacts, facts: NightFacts) -> EnclosureFacts | None:
    """Return the enclosure in which an animal was at the end of the day."""
    if not animal.stays or animal.stays[-1].until_s < facts.day.end_s:
        return None
    return facts.enclosures.get(animal.stays[-1].enclosure)


def local(epoch_s: int, facts: NightFacts) -> str:
    """Return an instant as the site's clock showed it: `2026-03-01 14:35`."""
    return datetime.fromtimestamp(epoch_s, facts.zone).strftime("%Y-%m-%d %H:%M")


def number(value: Decimal | None) -> float | None:
    """Return a limit as JSON holds it."""
    return None if value is None else float(value)


def basis(target: ResolvedTarget, version: int) -> Json:
    """Return on whose word a wanted value stands, and who says otherwise."""
    agreed = target.override_id is not None
    return {
        **provenance(target.provenance),
        "row": target.target_id,
        "version": version,
        "override": target.provenance.note if agreed else None,
        "others": [_other(o) for o in target.others],
    }


def provenance(given: Provenance) -> Json:
    """Return source, standing and review date of a value."""
    return {
        "source": given.source,
        "standing": given.standing.value,
        "reviewed_on": given.reviewed_on.isoformat(),
        "note": given.note,
    }


def row_basis(
    given: Provenance | None, *, row: str, version: int | None
) -> Json | None:
    """Return on whose word a row of a profile stands; None where nobody's is known.

    Args:
        given: of the row; None: no row stands behind the finding.
        row: its id, or "".
        version: of the care profile; None: it is not one animal's.
    """
    if given is None:
        return None
    return {
        **provenance(given),
        "row": row,
        "version": version,
        "override": None,
        "others": [],
    }


def _other(other: Disagreement) -> Json:
    return {
        "low": number(other.low),
        "high": number(other.high),
        **provenance(other.provenance),
    }
