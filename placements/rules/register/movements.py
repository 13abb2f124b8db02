"""Each coming and each going of an animal, once, out of all that tells of it."""

from collections.abc import Iterator, Sequence
from datetime import date

from husbandry.rules.vocabulary import AnimalStatus
from placements.rules.register.facts import (
    AnimalRecord,
    CareTime,
    IntakeFact,
    Movement,
    PlacementFact,
)
from placements.rules.vocabulary import (
    STAYS_OURS,
    Direction,
    PlacementState,
    RegisterHow,
)

# Between the movements of one day: the time in care they belong to, then which came
# first within it.
Place = tuple[date, int, int]
Placed = tuple[Place, Movement]
LEFT_BY_PLACEMENT = frozenset({AnimalStatus.PLACED, AnimalStatus.RELEASED})
ENDINGS = {
    AnimalStatus.DEAD: RegisterHow.DEATH,
    AnimalStatus.LOST: RegisterHow.LOSS,
    AnimalStatus.RELEASED: RegisterHow.RELEASE,
}


def movements_of(record: AnimalRecord) -> tuple[Movement, ...]:
    """Return each coming and each going of an animal, once, in their order.

    An animal comes on the first day of each time in care: as its intake says, or back
    from the placement that ended that day; without either it was born here, found
    again, or nobody said how. It leaves on the last day of each, and by every
    placement that was handed over. Made lasting, a foster stay or loan is left a second
    time, for good, without the animal moving. What dies on a foster stay or loan has
    left by death: it was still the organisation's own.

    Args:
        record: of one animal; of one that was never here, none.
    """
    found = [*_comings(record), *_goings(record)]
    found += _other_placements(record, [movement for _, movement in found])
    found += _deaths_away(record, [movement for _, movement in found])
    return tuple(movement for _, movement in sorted(found, key=lambda one: one[0]))


def _comings(record: AnimalRecord) -> Iterator[Placed]:
    intakes = _intakes_by_time(record)
    returns = _returns_by_time(record, intakes)
    for index, time in enumerate(record.times):
        intake, back = intakes[index], returns[index]
        how, home = _how_it_came(record, index), back.home if back else None
        if intake is not None:
            how, home = RegisterHow(intake.source.value), intake.home or home
        elif back is not None:
            how = RegisterHow.RETURN
        yield (
            (time.arrived_on, index, 0),
            Movement(
                animal=record.id,
                direction=Direction.CAME,
                on=time.arrived_on,
                how=how,
                home=home,
                arrival=intake.arrival if intake else None,
                placement=back.id if back else None,
            ),
        )


def _intakes_by_time(record: AnimalRecord) -> list[IntakeFact | None]:
    """Return the intake of each time in care: of its first day, else one within it."""
    exact = {intake.on: intake for intake in record.intakes}
    days = {time.arrived_on for time in record.times}
    spare = [intake for intake in record.intakes if intake.on not in days]
    found: list[IntakeFact | None] = []
    for time in record.times:
        intake = exact.pop(time.arrived_on, None)
        if intake is None:
            intake = next((one for one in spare if _within(one.on, time)), None)
            spare = [one for one in spare if one is not intake]
        found.append(intake)
    return found


def _within(on: date, time: CareTime) -> bool:
    return time.arrived_on <= on and (time.left_on is None or on <= time.left_on)


def _returns_by_time(
    record: AnimalRecord, intakes: Sequence[IntakeFact | None]
) -> list[PlacementFact | None]:
    """Return the placement that an animal came back from, for each time in care."""
    named = {intake.returns for intake in record.intakes}
    by_id = {placement.id: placement for placement in record.placements}
    spare = [
        placement
        for placement in record.placements
        if placement.state is PlacementState.CAME_BACK and placement.id not in named
    ]
    found: list[PlacementFact | None] = []
    for time, intake in zip(record.times, intakes, strict=True):
        if intake is not None and intake.returns is not None:
            found.append(by_id.get(intake.returns))
            continue
        back = next((one for one in spare if one.ended_on == time.arrived_on), None)
        spare = [one for one in spare if one is not back]
        found.append(back)
    return found


def _how_it_came(record: AnimalRecord, index: int) -> RegisterHow:
    """Return how an animal came of which no intake and no return tells."""
    if index == 0:
        return RegisterHow.BORN_HERE if record.born_here else RegisterHow.NOT_SAID
    if record.times[index - 1].status is AnimalStatus.LOST:
        return RegisterHow.FOUND_AGAIN
    return RegisterHow.NOT_SAID


def _goings(record: AnimalRecord) -> Iterator[Placed]:
    placements = _placements_by_time(record)
    for index, (time, placement) in enumerate(
        zip(record.times, placements, strict=True)
    ):
        if time.left_on is None or _died_elsewhere(time, placement):
            continue
        is_last = index == len(record.times) - 1
        how = ENDINGS.get(time.status, RegisterHow.NOT_SAID)
        if time.status is AnimalStatus.DEAD and is_last and record.put_to_sleep:
            how = RegisterHow.PUT_TO_SLEEP
        if placement is not None and time.status in LEFT_BY_PLACEMENT:
            how = RegisterHow(placement.kind.value)
        yield (
            (time.left_on, index, 1),
            _left(record.id, time.left_on, how, placement),
        )


def _placements_by_time(record: AnimalRecord) -> list[PlacementFact | None]:
    """Return the placement that ended each time in care, or in which it ended."""
    spare, found = list(record.placements), []
    for time in record.times:
        placement = next((one for one in spare if _ended_by(time, one)), None)
        if placement is not None:
            spare.remove(placement)
        found.append(placement)
    return found


def _ended_by(time: CareTime, placement: PlacementFact) -> bool:
    if time.status in LEFT_BY_PLACEMENT:
        return placement.handed_over_on == time.left_on and placement.follows is None
    return time.status is AnimalStatus.DEAD and _died_there_on(placement, time)


def _died_elsewhere(time: CareTime, placement: PlacementFact | None) -> bool:
    """Say whether it died in a home that it had gone to for good."""
    if time.status is not AnimalStatus.DEAD or placement is None:
        return False
    return placement.kind not in STAYS_OURS


def _died_there_on(placement: PlacementFact, time: CareTime) -> bool:
    died = placement.state is PlacementState.DIED_THERE
    return died and placement.ended_on == time.left_on


def _other_placements(record: AnimalRecord, told: Sequence[Movement]) -> list[Placed]:
    by_it = {
        movement.placement
        for movement in told
        if movement.direction is Direction.LEFT
        and movement.how.value == _kind(record, movement.placement)
    }
    return [
        (
            (placement.handed_over_on, _time_of(record, placement.handed_over_on), 2),
            _left(
                record.id,
                placement.handed_over_on,
                RegisterHow(placement.kind.value),
                placement,
            ),
        )
        for placement in record.placements
        if placement.id not in by_it
    ]


def _kind(record: AnimalRecord, key: int | None) -> str:
    return next((p.kind.value for p in record.placements if p.id == key), "")


def _deaths_away(record: AnimalRecord, told: Sequence[Movement]) -> list[Placed]:
    dead_on = {m.on for m in told if m.how in (RegisterHow.DEATH, _SLEEP)}
    return [
        (
            (placement.ended_on, _time_of(record, placement.ended_on), 3),
            _left(record.id, placement.ended_on, _how_it_died(record), placement),
        )
        for placement in record.placements
        if placement.state is PlacementState.DIED_THERE
        and placement.kind in STAYS_OURS
        and placement.ended_on is not None
        and placement.ended_on not in dead_on
    ]


_SLEEP = RegisterHow.PUT_TO_SLEEP


def _how_it_died(record: AnimalRecord) -> RegisterHow:
    return _SLEEP if record.put_to_sleep else RegisterHow.DEATH


def _time_of(record: AnimalRecord, on: date) -> int:
    """Return which time in care a day belongs to: the last that began by then."""
    begun = [i for i, time in enumerate(record.times) if time.arrived_on <= on]
    return begun[-1] if begun else 0


def _left(
    animal: int, on: date, how: RegisterHow, placement: PlacementFact | None
) -> Movement:
    return Movement(
        animal=animal,
        direction=Direction.LEFT,
        on=on,
        how=how,
        home=placement.home if placement else None,
        placement=placement.id if placement else None,
    )
