"""When animals were away between two times in care."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from husbandry.models import Animal, EarlierCare
from husbandry.rules.returns import TimeAway


def times_away(*, animals: Iterable[Animal]) -> dict[int, tuple[TimeAway, ...]]:
    """Return the times away of animals that came again, oldest first; one query.

    Args:
        animals: those that never left are not in the answer; none asks nothing.

    Returns:
        By animal.
    """
    came_on = {animal.pk: animal.arrived_on for animal in animals}
    if not came_on:
        return {}
    left: dict[int, list[tuple[date, date]]] = defaultdict(list)
    for animal, arrived_on, left_on in (
        EarlierCare.objects.filter(animal__in=came_on)
        .order_by("arrived_on", "pk")
        .values_list("animal_id", "arrived_on", "left_on")
    ):
        left[animal].append((arrived_on, left_on))
    return {
        animal: tuple(
            TimeAway(left_on, came)
            for (_, left_on), came in zip(
                spells,
                [*(came for came, _ in spells[1:]), came_on[animal]],
                strict=True,
            )
        )
        for animal, spells in left.items()
    }


def times_away_before(*, animal: Animal, on: date) -> tuple[TimeAway, ...]:
    """Return the times away of an animal that can hold a day.

    One query for days before its present time in care, none for later ones: by
    then it was here.
    """
    if on >= animal.arrived_on:
        return ()
    return times_away(animals=[animal]).get(animal.pk, ())


def last_day_of_care(*, animal: Animal, on: date) -> date | None:
    """Return when the time in care was over that a day belongs to; None: it lasts.

    One query for days before its present time in care, none for later ones.

    Args:
        animal: whose.
        on: a local day; of one between two times in care, the time before it.
    """
    if on >= animal.arrived_on:
        return animal.left_on
    earlier = EarlierCare.objects.filter(animal=animal, arrived_on__lte=on)
    spell = earlier.order_by("-arrived_on").first()
    return spell.left_on if spell else animal.left_on
