"""Take in what a delivery brought: new animals and such as were here before."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.models import User
from husbandry.actions.animal_records import FURTHEST_ZONE
from husbandry.actions.newcomers import register_newcomers
from husbandry.actions.returns import take_back_all
from husbandry.models import Animal
from placements.actions.endings import mark_came_back
from placements.actions.homes import add_home
from placements.actions.intake_records import put_on_record
from placements.actions.intake_rows import (
    ArrivalDetails,
    ExamGiven,
    Giver,
    IntakeRow,
)
from placements.actions.newcomers import chip_given, drafted
from placements.actions.quarantine import begin_by_policy
from placements.actions.register import write_register
from placements.models import Arrival, Home, Intake, Placement
from placements.queries.holds import hold_rules
from placements.queries.intakes import records_of, still_placed
from placements.rules.holds import check_hold, hold_until
from placements.rules.intakes import (
    Delivery,
    IntakeError,
    Problem,
    check_delivery,
    refused,
)
from placements.rules.newcomers import check_newcomers

__all__ = [
    "ArrivalDetails",
    "ExamGiven",
    "Giver",
    "IntakeError",
    "IntakeRow",
    "record_arrival",
]

_TOLD = ("site", "source", "home", "arrived_at", "hold_until", "hold_reason")


@transaction.atomic
def record_arrival(
    *,
    arrival: ArrivalDetails,
    animals: Sequence[IntakeRow],
    by: User | None,
    at: datetime,
) -> Arrival:
    """Take in all animals of a delivery, or none of them.

    New ones are registered, those that were here before are taken back and their
    placements end. All are put into quarantine as the policy of their species says
    before they are moved into their enclosures; then what was weighed and seen is
    recorded. They are held as the delivery says, else as the policy for its source
    does. As many queries for many as for one, but for weighings and moves, which are
    held to their rules one by one, and for the ends of placements.

    Args:
        arrival: how they came.
        animals: 1 to 60, each once.
        by: the person.
        at: now.

    Returns:
        The delivery; its `intakes` are in the order given.

    Raises:
        IntakeError: a sentence for each thing that is wrong; its `problems` say with
            which animal. An animal that was here before by its code or chip has to be
            named as such.
        HoldError: the hold cannot be.
    """
    zone = ZoneInfo(arrival.site.time_zone)
    arrived_on = arrival.arrived_at.astimezone(zone).date()
    check_delivery(_delivery(arrival, animals, arrived_on, at.astimezone(zone).date()))
    if arrival.arrived_at > at:
        raise IntakeError(
            f"{arrival.arrived_at.astimezone(zone):%Y-%m-%d %H:%M} has not come yet.",
            fields={"arrived_at": "now or earlier"},
        )
    arrival = _held(arrival, arrived_on)
    _check_lines(arrival, animals, arrived_on, at)
    placed = _placements(animals)
    here = _in_care(arrival, animals, arrived_on, by=by, at=at)
    row = _record(arrival, placed, here, by=by, at=at)
    intakes = _intakes(row, animals, here, placed, by=by, at=at)
    for placement in placed.values():
        mark_came_back(placement=placement, on=arrived_on, by=by, at=at)
    begin_by_policy(animals=here, on=arrived_on, source=arrival.source, by=by, at=at)
    problems = put_on_record(
        list(zip(animals, intakes, strict=True)),
        arrived_at=arrival.arrived_at,
        by=by,
        at=at,
    )
    if problems:
        raise refused(problems, [one.label for one in animals])
    write_register(by=by, at=at, animal_ids=[animal.pk for animal in here])
    return row


def _delivery(
    arrival: ArrivalDetails, animals: Sequence[IntakeRow], on: date, today: date
) -> Delivery:
    return Delivery(
        source=arrival.source,
        somebody=arrival.home is not None,
        found_at=arrival.found_at,
        arrived_on=on,
        today=today,
        animals=len(animals),
    )


def _held(arrival: ArrivalDetails, arrived_on: date) -> ArrivalDetails:
    """Return a delivery with the hold that is said, or that the policy sets."""
    if arrival.hold_until is not None:
        check_hold(
            until_on=arrival.hold_until,
            arrived_on=arrived_on,
            reason=arrival.hold_reason,
        )
        return replace(arrival, hold_reason=arrival.hold_reason.strip())
    rule = hold_rules()[arrival.source]
    until_on = hold_until(rule, arrived_on=arrived_on)
    reason = f"policy: {rule.reason}"[:200] if until_on else ""
    return replace(arrival, hold_until=until_on, hold_reason=reason)


def _check_lines(
    arrival: ArrivalDetails,
    animals: Sequence[IntakeRow],
    arrived_on: date,
    at: datetime,
) -> None:
    """Refuse the animals of a delivery for all that is wrong with them.

    Raises:
        IntakeError: with a sentence for each thing.
    """
    records = records_of(
        codes={one.label for one in animals}, chips={chip_given(o) for o in animals}
    )
    problems = check_newcomers(
        [one.newcomer() for one in animals],
        records=records,
        source=arrival.source,
        arrived_on=arrived_on,
        today=(at + FURTHEST_ZONE).astimezone(UTC).date(),
    )
    if problems:
        raise refused(problems, [one.label for one in animals])


def _placements(animals: Sequence[IntakeRow]) -> dict[int, Placement]:
    """Return the placements that end with a delivery, by animal.

    Raises:
        IntakeError: a placement is named that the animal cannot come back from.
    """
    found = still_placed(animal_ids=[one.again.pk for one in animals if one.again])
    problems = [
        Problem(
            line,
            "returns",
            f"it cannot come back from the placement of {one.returns.animal}: that is "
            "not the one by which it left.",
            "the placement by which it left, or nothing",
        )
        for line, one in enumerate(animals)
        if one.returns is not None
        and (one.again is None or found.get(one.again.pk) != one.returns)
    ]
    if problems:
        raise refused(problems, [one.label for one in animals])
    return dict(found)


def _in_care(
    arrival: ArrivalDetails,
    animals: Sequence[IntakeRow],
    arrived_on: date,
    *,
    by: User | None,
    at: datetime,
) -> list[Animal]:
    """Register the new ones and take back the others; in the order given."""
    drafts = drafted(animals, source=arrival.source, arrived_on=arrived_on, at=at)
    new = register_newcomers(animals=drafts, site=arrival.site, by=by, at=at)
    known = [one.again for one in animals if one.again]
    back = take_back_all(animals=known, arrived_on=arrived_on, by=by, at=at)
    new_ones, old_ones = iter(new), iter(back)
    return [next(old_ones if one.again else new_ones) for one in animals]


def _record(
    arrival: ArrivalDetails,
    placed: dict[int, Placement],
    here: Sequence[Animal],
    *,
    by: User | None,
    at: datetime,
) -> Arrival:
    row = Arrival.objects.create(
        site=arrival.site,
        source=arrival.source.value,
        home=_from_whom(arrival, placed, by=by, at=at),
        found_at=arrival.found_at.strip(),
        arrived_at=arrival.arrived_at,
        hold_until=arrival.hold_until,
        hold_reason=arrival.hold_reason,
        came_with=arrival.came_with.strip(),
        note=arrival.note.strip(),
        recorded_by=by,
        recorded_at=at,
    )
    # What was told of people and places stays out of the audit trail.
    after = {**audit.values(row, *_TOLD), "animals": [animal.pk for animal in here]}
    audit.record(row, verb="record_arrival", by=by, at=at, after=after)
    return row


def _from_whom(
    arrival: ArrivalDetails,
    placed: dict[int, Placement],
    *,
    by: User | None,
    at: datetime,
) -> Home | None:
    """Return the home that is named, or the only one that animals come back from."""
    given = arrival.home
    if isinstance(given, Giver):
        return add_home(name=given.name, contact=given.contact, by=by, at=at)
    homes = {placement.home for placement in placed.values()}
    return homes.pop() if given is None and len(homes) == 1 else given


def _intakes(
    row: Arrival,
    animals: Sequence[IntakeRow],
    here: Sequence[Animal],
    placed: dict[int, Placement],
    *,
    by: User | None,
    at: datetime,
) -> list[Intake]:
    intakes = Intake.objects.bulk_create(
        Intake(
            arrival=row,
            animal=animal,
            returns=placed.get(animal.pk),
            species_told=one.species_told.strip(),
            species_sure=one.species_sure,
            condition=one.condition.value,
            chip_scan=one.chip_scan.value,
            came_with=one.came_with.strip(),
            note=one.note.strip(),
        )
        for one, animal in zip(animals, here, strict=True)
    )
    deeds = [audit.Deed(i, "record_intake", after=_intake_told(i)) for i in intakes]
    audit.record_all(deeds, by=by, at=at)
    return intakes


def _intake_told(intake: Intake) -> dict[str, Any]:
    names = ("species_told", "species_sure", "condition", "chip_scan")
    return {
        "arrival": intake.arrival_id,
        "animal": intake.animal_id,
        "returns": intake.returns_id,
        **audit.values(intake, *names),
    }
