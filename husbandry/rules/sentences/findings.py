"""One finding, told as by a careful colleague."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from husbandry.rules.policies import POLICY_SOURCE
from husbandry.rules.sentences import (
    animals,
    breeding,
    care,
    conditions,
    growth,
    health,
    names,
    numbers,
    rescue,
)
from husbandry.rules.sentences.conditions import Evidence, Teller
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.sentences.steps import first_step
from husbandry.rules.vocabulary import FindingKind, Period, Quantity, Standing

K = FindingKind

TELLERS: dict[FindingKind, Teller] = {
    K.ABOVE_TARGET: conditions.outside("above"),
    K.BELOW_TARGET: conditions.outside("below"),
    K.NO_DATA: conditions.no_data,
    K.STUCK_PROBE: conditions.stuck,
    K.IMPOSSIBLE_VALUES: conditions.impossible,
    K.UNMEASURED_TARGET: conditions.unmeasured,
    K.LIGHT_HOURS: animals.light_hours,
    K.WEIGHT_LOSS: animals.loss,
    K.GROWTH_STALLED: animals.stalled,
    K.WEIGHT_OUT_OF_BAND: animals.out_of_band,
    K.WEIGHING_OVERDUE: animals.overdue,
    K.NO_ENCLOSURE: animals.no_enclosure,
    K.ENCLOSURE_TOO_SMALL: animals.too_small,
    K.NO_LAYING_BIN: animals.no_laying_bin,
    K.SHARED_ENCLOSURE: animals.shared,
    K.IN_SIGHT: animals.in_sight,
    K.NO_PROFILE: animals.no_profile,
    K.STAGE_UNKNOWN: animals.stage_unknown,
    K.NOT_REVIEWED: animals.not_reviewed,
    **growth.TELLERS,
    **care.TELLERS,
    **health.TELLERS,
    **breeding.TELLERS,
    **rescue.TELLERS,
}
COMPARING = frozenset({K.ABOVE_TARGET, K.BELOW_TARGET})


@dataclass(frozen=True, slots=True)
class Words:
    """What a person reads of a finding.

    Attributes:
        who: the subject and where it is.
        what: what was measured against what was wanted.
        first_step: what to do first.
        why: why it matters, with the key of a source in brackets where one is.
        basis: on whose word the wanted value stands, and who says otherwise.
    """

    who: str
    what: str
    first_step: str
    why: str
    basis: str


UNREADABLE = (KeyError, TypeError, ValueError, AttributeError)
"""What `describe` trips over where another version wrote the evidence otherwise."""


def describe_unreadable(kind: FindingKind, *, who: str) -> Words:
    """Put a finding into words whose evidence cannot be read.

    Args:
        kind: what is wrong.
        who: the subject, as its row says.
    """
    label = kind.value.replace("_", " ").capitalize()
    return Words(
        who=who,
        what=f"{label}; its numbers cannot be read by this version.",
        first_step="Look at it yourself; review the night again.",
        why="The numbers were written by another version of the program.",
        basis="",
    )


def describe(kind: FindingKind, evidence: Evidence, *, units: Units = METRIC) -> Words:
    """Put a finding into words.

    Args:
        kind: what is wrong.
        evidence: the numbers of the night, as the review wrote them.
        units: the units the reader chose.
    """
    compared = kind in COMPARING
    step, why = first_step(
        kind,
        Quantity(evidence["quantity"]) if compared else None,
        Period(evidence["period"]) if compared else None,
    )
    return Words(
        who=who(evidence),
        what=TELLERS[kind](evidence, units),
        first_step=step,
        why=why,
        basis=basis(evidence, units),
    )


def who(evidence: Evidence) -> str:
    """Return the subject and where it is: `V-0417 Juno (Nursery rack, N-12)`.

    Eggs are told by clutch and box: `C-07 in box B-2 (incubator I-1, Nursery)`. What
    is about neither is told by its place: enclosure, room, probe, species or site.
    """
    animal = evidence.get("animal")
    if not animal and breeding.subject(evidence):
        return breeding.who(evidence)
    parts = (evidence.get("room"), evidence.get("enclosure"))
    place = ", ".join(str(part) for part in parts if part)
    if animal:
        return f"{animal} ({place})" if place else str(animal)
    other = (evidence.get(name) for name in ("probe", "species", "site"))
    return place or str(next(filter(None, other), ""))


def basis(evidence: Evidence, units: Units = METRIC) -> str:
    """Return on whose word the wanted value rests, and who says otherwise."""
    given: Mapping[str, Any] | None = evidence.get("basis")
    if not given:
        return ""
    if given.get("override"):
        text = f"Agreed for this animal by {given['override']}"
    else:
        text = names.word(given["source"], Standing(given["standing"]))
    if given["source"] == POLICY_SOURCE:
        text = f"Decided for this site by {given['note']}"
    quantity = evidence.get("quantity")
    others = [_other(o, Quantity(quantity), units) for o in given["others"] if quantity]
    return "; ".join([text, *others])


def _other(other: Mapping[str, Any], quantity: Quantity, units: Units) -> str:
    if other["low"] is None and other["high"] is None:
        return f"{other['source']}: {other['note']}"
    said = numbers.band(other["low"], other["high"], quantity, units)
    return f"{other['source']} says {said}"
