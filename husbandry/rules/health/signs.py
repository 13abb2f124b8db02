"""Signs that were seen and are not gone: never what they mean."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, ObservationFact
from husbandry.rules.health.conventions import CARE_TASKS
from husbandry.rules.profiles.values import Profile, WarningSign
from husbandry.rules.vocabulary import (
    FindingKind,
    ObservationKind,
    Observed,
    Urgency,
)

UNKNOWN_SIGN = "Have a licensed reptile vet look at it today."


def assess_signs(animal: CaredAnimal, *, on: date) -> Iterator[Assessment]:
    """Tell each sign that was seen and is not gone, as urgent as its profile says.

    Args:
        animal: with its profile and observations.
        on: the local day.

    Source:
        care-task-convention, for a sign that the profile in force does not have:
        today.
    """
    for sign, seen in _open(animal, on=on).items():
        row = _row(animal.profile, sign)
        yield Assessment(
            FindingKind.SIGN_SEEN,
            row.urgency if row else Urgency.TODAY,
            {
                "sign": sign,
                "text": row.text if row else sign,
                "do": row.do if row else UNKNOWN_SIGN,
                "since_on": seen[0].on.isoformat(),
                "last_on": seen[-1].on.isoformat(),
                "times": len(seen),
                "note": seen[-1].note,
            },
            rule_id=row.id if row else "",
            provenance=row.provenance if row else CARE_TASKS,
            detail=(sign,),
            animal=animal.id,
        )


def _open(animal: CaredAnimal, *, on: date) -> dict[str, Sequence[ObservationFact]]:
    """Return the sightings of each sign since it was last gone."""
    seen: dict[str, list[ObservationFact]] = defaultdict(list)
    signs = (o for o in animal.observations if o.kind is ObservationKind.SIGN)
    for observation in sorted(signs, key=lambda o: (o.at, o.id)):
        if observation.on > on:
            continue
        if observation.observed is Observed.GONE:
            seen[observation.sign].clear()
        else:
            seen[observation.sign].append(observation)
    return {sign: found for sign, found in seen.items() if found}


def _row(profile: Profile | None, sign: str) -> WarningSign | None:
    rows = profile.warning_signs if profile else ()
    return next((row for row in rows if row.id == sign), None)
