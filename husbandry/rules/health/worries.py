"""What was seen of an animal that worries by itself, without being named as a sign.

As a sign it stays until somebody sees that it is no longer so; it is never what it
means.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, ObservationFact
from husbandry.rules.health.appetite import gravid_spell
from husbandry.rules.health.conventions import CARE_TASKS
from husbandry.rules.vocabulary import (
    FindingKind,
    ObservationKind,
    Observed,
    Sex,
    Urates,
    Urgency,
)


@dataclass(frozen=True, slots=True)
class Worry:
    """Something seen that worries: what to look for among observations of a kind."""

    code: str
    kind: ObservationKind
    text: str
    do: str
    urgency: Urgency
    observed: Observed | None = None
    urates: Urates | None = None

    def is_in(self, seen: ObservationFact) -> bool | None:
        """Say whether an observation shows it; None: it says nothing of it."""
        if self.observed is not None:
            return None if seen.observed is None else seen.observed is self.observed
        return None if seen.urates is None else seen.urates is self.urates


WORRIES = (
    Worry(
        "weak",
        ObservationKind.ALERTNESS,
        "Weak, or hardly moves",
        "Check its temperatures and its water, leave it in peace, and call a licensed "
        "reptile vet today.",
        Urgency.TODAY,
        observed=Observed.WEAK,
    ),
    Worry(
        "bloody_droppings",
        ObservationKind.DROPPINGS,
        "Blood in the droppings",
        "Keep the droppings in a clean bag for the vet, and call a licensed reptile "
        "vet today.",
        Urgency.TODAY,
        observed=Observed.BLOODY,
    ),
    Worry(
        "orange_urates",
        ObservationKind.DROPPINGS,
        "Urates mostly orange",
        "See that misting and dripper work and that it drinks. If the next droppings "
        "are orange too, see a licensed reptile vet.",
        Urgency.TODAY,
        urates=Urates.ORANGE,
    ),
    Worry(
        "stuck_shed",
        ObservationKind.SHED,
        "A shed that does not come off",
        "Do not pull. See that the nights are damp enough; if skin stays on toes, tail "
        "or eyes, see a licensed reptile vet.",
        Urgency.WATCH,
        observed=Observed.STUCK,
    ),
)


def assess_worries(animal: CaredAnimal, *, on: date) -> Iterator[Assessment]:
    """Tell what was seen last of an animal, where it worries by itself.

    A weak female that carries eggs is told as trouble with laying instead.

    Args:
        animal: with its observations and gravid spells.
        on: the local day.

    Source:
        care-task-convention; necas for orange urates.
    """
    for worry in WORRIES:
        if worry.observed is Observed.WEAK and _carries_eggs(animal, on=on):
            continue
        seen = _seen_since(animal, worry, on=on)
        if seen:
            yield Assessment(
                FindingKind.SIGN_SEEN,
                worry.urgency,
                {
                    "sign": worry.code,
                    "text": worry.text,
                    "do": worry.do,
                    "since_on": seen[0].on.isoformat(),
                    "last_on": seen[-1].on.isoformat(),
                    "times": len(seen),
                    "note": seen[-1].note,
                },
                provenance=CARE_TASKS,
                detail=(worry.code,),
                animal=animal.id,
            )


def _carries_eggs(animal: CaredAnimal, *, on: date) -> bool:
    spell = gravid_spell(animal, on=on)
    return animal.sex is not Sex.MALE and spell is not None and spell.until_on != on


def _seen_since(
    animal: CaredAnimal, worry: Worry, *, on: date
) -> list[ObservationFact]:
    """Return the sightings since the last one that showed it was not so."""
    seen: list[ObservationFact] = []
    rows = (o for o in animal.observations if o.kind is worry.kind and o.on <= on)
    for observation in sorted(rows, key=lambda o: (o.at, o.id)):
        shown = worry.is_in(observation)
        if shown:
            seen.append(observation)
        elif shown is False:
            seen.clear()
    return seen
