"""Hatchlings whose sex is not settled as the policy asks, seen of a night."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

from clutches.rules.facts import ClutchNight, HeelsSeen
from clutches.rules.sexing.looks import Look, Why, settle
from clutches.rules.vocabulary import Heel
from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency

DUE_AFTER_DAYS = 7


def assess_sexing(night: ClutchNight) -> Iterator[Assessment]:
    """Say which hatchlings wait for another look at their heels.

    Args:
        night: with the animals whose heels were looked at and whose sex is not
            confirmed.

    Yields:
        One for each, to watch: a second person's look outstanding for more than seven
        days, or looks that leave the sex open for as long.

    Source:
        sexing-convention.
    """
    ends_at = datetime.fromtimestamp(night.day.end_s, UTC)
    for animal in night.unsettled:
        verdict = settle(looks_of(animal.looks), second_look=night.second_look)
        if verdict.why is None:
            continue
        days = (ends_at - max(look.at for look in animal.looks)).days
        if days <= DUE_AFTER_DAYS:
            continue
        yield Assessment(
            kind=FindingKind.SPUR_LOOK_DUE,
            urgency=Urgency.WATCH,
            facts=_facts(animal.looks, verdict.why, days, night),
            animal=animal.id,
        )


def looks_of(seen: Sequence[HeelsSeen]) -> list[Look]:
    """Return looks as the rules read them."""
    return [Look(Heel(s.left), Heel(s.right), s.looked_by, s.at) for s in seen]


def _facts(
    looks: Sequence[HeelsSeen], why: Why, days: int, night: ClutchNight
) -> dict[str, object]:
    return {
        "looks": [
            {
                "left": look.left,
                "right": look.right,
                "by": look.looked_by_name or None,
                "on": look.at.astimezone(night.zone).date().isoformat(),
            }
            for look in looks
        ],
        "why": why.value,
        "days": days,
    }
