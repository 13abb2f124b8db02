"""Boxes into which nobody looked, and eggs that lie in none."""

from collections.abc import Iterator
from datetime import date, datetime
from itertools import groupby

from clutches.rules.facts import ClutchNight, EggGroup
from husbandry.rules.assessments import Assessment
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import FindingKind, Urgency


def assess_looks(night: ClutchNight) -> Iterator[Assessment]:
    """Say into which boxes nobody looked for longer than the care profile wants.

    Args:
        night: its groups with eggs. Days count from the last look at the box or at
            one of its eggs, else from the day on which its eggs came to stand in an
            incubator. Of several species in a box the strictest profile counts.

    Yields:
        One for each box; today from twice the wanted days on.

    Source:
        House rule, no source; the profile's row names its own.
    """
    groups = sorted((g for g in night.groups if g.eggs), key=lambda g: g.box)
    for _, some in groupby(groups, key=lambda g: g.box):
        inside = list(some)
        rules = [rule for group in inside if (rule := _rule(night, group))]
        limits = {int(rule.high): rule for rule in rules if rule.high is not None}
        since_on = _since(night, inside)
        if not limits or since_on is None:
            continue
        limit, rule = min(limits.items(), key=lambda pair: pair[0])
        days = (night.day.on - since_on).days
        if days > limit:
            yield _unchecked(inside, rule, days=days, limit_days=limit)


def _unchecked(
    inside: list[EggGroup], rule: IncubationRule, *, days: int, limit_days: int
) -> Assessment:
    checked_on = _checked_on(inside)
    return Assessment(
        kind=FindingKind.BOX_UNCHECKED,
        urgency=Urgency.TODAY if days >= 2 * limit_days else Urgency.WATCH,
        facts={
            "box": inside[0].box_code,
            "clutches": sorted(group.clutch_code for group in inside),
            "checked_on": checked_on.isoformat() if checked_on else None,
            "days": days,
            "limit_days": limit_days,
        },
        rule_id=rule.id,
        provenance=rule.provenance,
        detail=("box", str(inside[0].box)),
        enclosure=inside[0].incubator,
    )


def _rule(night: ClutchNight, group: EggGroup) -> IncubationRule | None:
    profile = night.profiles.get(group.species)
    if profile is None:
        return None
    return incubation_for(profile[1], IncubationMatter.EGG_CHECK_EVERY_DAYS)


def _checked_on(inside: list[EggGroup]) -> date | None:
    return max((g.checked_on for g in inside if g.checked_on), default=None)


def _since(night: ClutchNight, inside: list[EggGroup]) -> date | None:
    """Return from which day on a look is waited for; None: they stand nowhere."""
    checked_on = _checked_on(inside)
    if checked_on is not None:
        return checked_on
    placed_s = [
        spell.from_s
        for group in inside
        for spell in night.spells.get((group.clutch, group.box), ())
        if spell.incubator is not None
    ]
    if not placed_s:
        return None
    return datetime.fromtimestamp(min(placed_s), night.zone).date()


def assess_unplaced(night: ClutchNight) -> Iterator[Assessment]:
    """Say of which clutches eggs incubate and lie in no box.

    Source:
        House rule, no source.
    """
    for clutch, code, eggs in night.unplaced:
        yield Assessment(
            kind=FindingKind.EGGS_UNPLACED,
            urgency=Urgency.TODAY,
            facts={"clutch": code, "eggs": eggs},
            detail=("clutch", str(clutch)),
        )
