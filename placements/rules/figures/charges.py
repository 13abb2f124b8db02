"""Times in an organisation's charge, out of comings and goings."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from placements.rules.figures.cleaning import set_right
from placements.rules.figures.facts import (
    After,
    Charge,
    DaySpan,
    LeftOut,
    LeftOutWhy,
)
from placements.rules.register.facts import AnimalRecord, Movement, PlacementFact
from placements.rules.register.movements import movements_of
from placements.rules.vocabulary import (
    STAYS_OURS,
    Direction,
    IntakeCondition,
    PlacementState,
    RegisterHow,
)

GOES_AWAY = frozenset(RegisterHow(kind.value) for kind in STAYS_OURS)


@dataclass(frozen=True, slots=True)
class Kept:
    """What else is on record of an animal's way.

    Attributes:
        quarantines: days kept apart.
        planned_since: first day of the plan that still stands; None: none does.
    """

    quarantines: tuple[DaySpan, ...] = ()
    planned_since: date | None = None


def charges_of(
    record: AnimalRecord, *, kept: Kept, on: date
) -> tuple[tuple[Charge, ...], tuple[LeftOut, ...]]:
    """Return the times an animal was in the organisation's charge, and what is left out.

    A foster stay or a loan ends none: the animal is away and due back. It ends when
    the stay is made lasting, on the day that became so, or by a death there.

    Args:
        record: of one animal, as recorded.
        kept: its quarantines and plans.
        on: today.

    Source:
        figure-conventions.
    """
    clean, out = set_right(record, on=on)
    walk = _Walk(clean, kept, on)
    for movement in movements_of(clean):
        walk.take(movement)
    return walk.finished(), (*out, *walk.out, *_intakes_left_out(record))


def _intakes_left_out(record: AnimalRecord) -> list[LeftOut]:
    """Return the intakes that belong to no time in care at all."""
    told = {movement.arrival for movement in movements_of(record)}
    return [
        LeftOut(record.code, intake.on, None, LeftOutWhy.NO_TIME_IN_CARE)
        for intake in record.intakes
        if intake.arrival not in told
    ]


@dataclass(slots=True)
class _Walk:
    """Goes through the movements of one animal."""

    record: AnimalRecord
    kept: Kept
    on: date
    done: list[Charge] = field(default_factory=list)
    open: Charge | None = None
    out: list[LeftOut] = field(default_factory=list)

    def take(self, movement: Movement) -> None:
        if movement.on > self.on:
            self._leave_out(movement, LeftOutWhy.TO_COME)
        elif movement.direction is Direction.CAME:
            self._come(movement)
        elif self.open is None:
            self._leave_out(movement, LeftOutWhy.NO_TIME_IN_CARE)
        elif movement.how in GOES_AWAY:
            away = (*self.open.away, DaySpan(movement.on, None))
            self.open = replace(self.open, away=away)
        else:
            self._end(self.open, movement)

    def finished(self) -> tuple[Charge, ...]:
        charges = [*self.done, *([self.open] if self.open else [])]
        return tuple(self._with_stages(charge) for charge in charges)

    def _come(self, movement: Movement) -> None:
        if self.open is not None:
            # Back from a foster stay or a loan.
            self.open = replace(self.open, away=_ended(self.open.away, movement.on))
            return
        self.open = Charge(
            animal=self.record.id,
            code=self.record.code,
            species=self.record.species,
            began_on=movement.on,
            came=movement.how,
            condition=self._condition(movement),
        )

    def _end(self, charge: Charge, movement: Movement) -> None:
        self.done.append(
            replace(
                charge,
                ended_on=movement.on,
                outcome=movement.how,
                away=_ended(charge.away, movement.on),
                after=self._after(movement),
            )
        )
        self.open = None

    def _condition(self, movement: Movement) -> IntakeCondition:
        for intake in self.record.intakes:
            if intake.arrival == movement.arrival:
                return intake.condition
        return IntakeCondition.NOT_JUDGED

    def _after(self, movement: Movement) -> After | None:
        placement = next(
            (p for p in self.record.placements if p.id == movement.placement), None
        )
        if placement is None or placement.kind.value != movement.how.value:
            return None
        back = placement.state is PlacementState.CAME_BACK
        until = placement.ended_on or self.on
        return After(placement.kind, until if back else None, min(until, self.on))

    def _leave_out(self, movement: Movement, why: LeftOutWhy) -> None:
        self.out.append(LeftOut(self.record.code, movement.on, movement.on, why))

    def _with_stages(self, charge: Charge) -> Charge:
        inside = [
            span for span in self.kept.quarantines if _touches(span, charge, self.on)
        ]
        return replace(
            charge,
            quarantines=tuple(inside),
            planned=tuple(self._planned(charge)),
        )

    def _planned(self, charge: Charge) -> Sequence[DaySpan]:
        spans = [_plan(p) for p in self.record.placements]
        if self.kept.planned_since is not None:
            spans.append(DaySpan(self.kept.planned_since, None))
        return [span for span in spans if _touches(span, charge, self.on)]


def _plan(placement: PlacementFact) -> DaySpan:
    return DaySpan(placement.planned_on, placement.handed_over_on)


def _ended(spans: tuple[DaySpan, ...], on: date) -> tuple[DaySpan, ...]:
    """Return spans, the last of them ended on a day if it was not over."""
    if not spans or spans[-1].until_on is not None:
        return spans
    return (*spans[:-1], replace(spans[-1], until_on=on))


def _touches(span: DaySpan, charge: Charge, on: date) -> bool:
    began_before = span.first_on < charge.until(on)
    return began_before and (span.until_on is None or span.until_on > charge.began_on)
