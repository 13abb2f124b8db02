"""What is due for one animal, over any range of days."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from core.zones import day_bounds
from husbandry.models import Animal
from husbandry.queries.care import care_facts
from husbandry.queries.returns import last_day_of_care
from husbandry.queries.stays import last_stay, zone_of
from husbandry.rules.care.due import tasks_of_animal
from husbandry.rules.care.facts import CaredAnimal, CareFacts
from husbandry.rules.care.tasks import CareTask


@dataclass(frozen=True, slots=True)
class AnimalTasks:
    """The tasks of one animal, and by whose clock they are told."""

    zone: ZoneInfo
    tasks: tuple[CareTask, ...]


def animal_tasks(
    *, animal: Animal, from_on: date, until_on: date, at: datetime
) -> AnimalTasks:
    """Return what is due for an animal from one day to another, done or open.

    Args:
        animal: whose.
        from_on: first local day where the animal is.
        until_on: last local day.
        at: now; days to come are told for where the animal is now.

    Returns:
        Feedings, weighings, doses, second looks and results, by day. None where the
        animal never had an enclosure until then, and none from the day on which it
        left. The number of queries does not depend on the range.
    """
    left_on = last_day_of_care(animal=animal, on=until_on)
    if left_on is not None:
        until_on = min(until_on, left_on - timedelta(days=1))
    zone = zone_of(animal=animal, at=at)
    _, ends_s = day_bounds(until_on, zone=zone)
    last_at = min(at, datetime.fromtimestamp(ends_s, tz=UTC))
    stay = last_stay(animal=animal, at=last_at)
    if stay is None or until_on < from_on:
        return AnimalTasks(zone, ())
    room = stay.enclosure.room
    housed = stay.until_at is None or stay.until_at > last_at
    # Supplements of days to come hang on the feedings between today and them.
    today_on = at.astimezone(zone).date()
    facts = care_facts(
        site=room.site,
        from_on=min(from_on, today_on),
        until_on=until_on,
        room=room if housed else None,
    )
    found = (cared for cared in facts.animals if cared.id == animal.pk)
    return AnimalTasks(
        facts.zone,
        tuple(
            task
            for cared in found
            for task in _tasks(cared, facts, from_on, until_on, today_on)
        ),
    )


def _tasks(
    cared: CaredAnimal, facts: CareFacts, from_on: date, until_on: date, today_on: date
) -> tuple[CareTask, ...]:
    enclosure = facts.enclosures.get(cared.enclosure or 0)
    return tasks_of_animal(
        cared,
        lights_on=enclosure.lights_on if enclosure else None,
        zone=facts.zone,
        from_on=from_on,
        until_on=until_on,
        asked_on=today_on,
    )
