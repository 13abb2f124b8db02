"""What falls due for one enclosure, by the profile of the animals in it."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import CaredAnimal, CaredEnclosure, ChoreFact
from husbandry.rules.care.lamp_tasks import lamp_tasks
from husbandry.rules.care.misting_tasks import misting_tasks
from husbandry.rules.care.site_walk import Place
from husbandry.rules.care.stage_rules import RulesByProfile, stage_rules_on
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.profiles.values import MistingRule


def mistings_of(
    enclosure: CaredEnclosure,
    animals: tuple[CaredAnimal, ...],
    chores: Sequence[ChoreFact],
    rules: RulesByProfile,
    *,
    zone: ZoneInfo,
    from_on: date,
    until_on: date,
) -> Iterator[CareTask]:
    """Yield the mistings of one enclosure in a range, in order.

    Where several animals share it, the first by code whose profile says something of
    misting decides; on days without an animal nobody mists.

    Args:
        enclosure: with its lights.
        animals: who lives in it, by code.
        chores: what was done for it.
        rules: of the animals' profiles.
        zone: of the site.
        from_on: first day of the range.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    for days in range((until_on - from_on).days + 1):
        on = from_on + timedelta(days)
        wanted = _misting_on(animals, rules, on)
        yield from misting_tasks(enclosure, wanted, chores, zone=zone, on=on)


def lamps_of(
    place: Place, *, counted_on: date, from_on: date, until_on: date
) -> tuple[CareTask, ...]:
    """Return which lamps over one enclosure are to be measured or replaced.

    Args:
        place: the enclosure and its animals; the first by code whose profile is known
            decides, and without one nothing is due.
        counted_on: the day up to which burnt hours are counted.
        from_on: first day of the range; days before an animal came are left out.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    profile = next((a.profile for a in place.animals if a.profile is not None), None)
    if place.enclosure is None or profile is None:
        return ()
    return lamp_tasks(
        place.enclosure,
        profile,
        counted_on=counted_on,
        from_on=max(from_on, min(a.arrived_on for a in place.animals)),
        until_on=until_on,
    )


def _misting_on(
    animals: Iterable[CaredAnimal], rules: RulesByProfile, on: date
) -> tuple[MistingRule, ...]:
    for animal in animals:
        known = rules.of(animal.profile)
        if known is None or animal.arrived_on > on:
            continue
        stage = stage_rules_on(known, animal.hatched_on, on)
        if stage is not None and stage.misting:
            return stage.misting
    return ()
