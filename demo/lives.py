"""Put the demo's animals on record: where from, moved where, weighed when."""

from datetime import time, timedelta

from core.models import User
from demo import scenario
from demo.animals import ANIMALS
from demo.homes import CAME_WITH, INVENTED
from demo.nights import Nights
from demo.plans import AnimalPlan
from demo.settling import House
from husbandry.actions.animals import record_reproductive_state, register_animal
from husbandry.actions.stays import move_animal
from husbandry.actions.weights import record_weighing
from husbandry.models import Animal, Species
from husbandry.rules.sexes import sex_by_heel_spur
from husbandry.rules.vocabulary import DatePrecision, Reproduction, Sex
from placements.actions.intake_rows import (
    ArrivalDetails,
    ExamGiven,
    Giver,
    IntakeRow,
)
from placements.actions.intakes import record_arrival
from placements.rules.exams import ExamPart
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)

WEIGHED_AT = time(17)
DELIVERIES = tuple(dict.fromkeys(p.came_with for p in ANIMALS if p.came_with))
LOOKED_OVER = (
    ExamPart(BodySystem.EYES, ExamOutcome.NOTHING_UNUSUAL),
    ExamPart(BodySystem.MOUTH, ExamOutcome.NOT_LOOKED_AT),
    ExamPart(BodySystem.SKIN, ExamOutcome.UNUSUAL, "Old shed left at the feet."),
    ExamPart(BodySystem.LIMBS_AND_SPINE, ExamOutcome.NOTHING_UNUSUAL),
)


def live(*, house: House, species: Species, nights: Nights) -> dict[str, Animal]:
    """Register every animal and let its fortnight pass, without the readings.

    Args:
        house: where they live.
        species: what they are.
        nights: the demo's calendar.

    Returns:
        The animals by code.
    """
    keeper = house.people[scenario.KEEPER]
    animals: dict[str, Animal] = {}
    for plan in ANIMALS:
        if not plan.came_with:
            animals[plan.code] = _register(plan, animals, species, nights, keeper)
    for delivery in DELIVERIES:
        animals |= _take_in(delivery, house, species, nights)
    # Who was taken in was put into its first enclosure then.
    moves = [
        (nights.moment(*move[:2]), plan.code, move[2])
        for plan in ANIMALS
        for move in plan.moves[1 if plan.came_with else 0 :]
    ]
    for moved_at, code, to in sorted(moves):
        move_animal(
            animal=animals[code], to=house.enclosures[to], by=keeper, at=moved_at
        )
    for plan in ANIMALS:
        _weigh(plan, animals[plan.code], nights, keeper)
        _note_state(plan, animals[plan.code], nights, keeper)
    return animals


def _take_in(
    delivery: str, house: House, species: Species, nights: Nights
) -> dict[str, Animal]:
    """Take in all that came together, looked over and put into quarantine."""
    plans = [plan for plan in ANIMALS if plan.came_with == delivery]
    arrival = record_arrival(
        arrival=ArrivalDetails(
            site=house.site,
            source=IntakeSource.SURRENDER,
            arrived_at=nights.moment(*plans[0].moves[0][:2]),
            home=Giver(delivery, INVENTED),
            came_with=CAME_WITH[delivery],
        ),
        animals=[_row(plan, house, species, nights) for plan in plans],
        by=house.people[scenario.KEEPER],
        at=nights.moment(*plans[0].moves[0][:2]),
    )
    return {row.animal.code: row.animal for row in arrival.intakes.all()}


def _row(plan: AnimalPlan, house: House, species: Species, nights: Nights) -> IntakeRow:
    return IntakeRow(
        code=plan.code,
        name=plan.name,
        species=species,
        species_told="chameleon",
        sexing=sex_by_heel_spur(spur=plan.sex is Sex.MALE),
        hatched_on=nights.until - timedelta(days=plan.age_days),
        hatched_precision=DatePrecision.DAY,
        origin=plan.origin,
        chip_scan=ChipScan.NONE_FOUND,
        condition=IntakeCondition.REHABILITATABLE,
        enclosure=house.enclosures[plan.moves[0][2]],
        exam=ExamGiven("Tomé Alcavaz", LOOKED_OVER),
        note=plan.note,
    )


def _register(
    plan: AnimalPlan,
    known: dict[str, Animal],
    species: Species,
    nights: Nights,
    keeper: User,
) -> Animal:
    sexing = sex_by_heel_spur(spur=plan.sex is Sex.MALE)
    return register_animal(
        code=plan.code,
        species=species,
        arrived_on=nights.on(plan.arrived_night),
        name=plan.name,
        sex=sexing.sex,
        sex_basis=sexing.basis,
        sex_confidence=sexing.confidence,
        hatched_on=nights.until - timedelta(days=plan.age_days),
        hatched_precision=DatePrecision.DAY,
        origin=plan.origin,
        dam=known.get(plan.dam),
        sire=known.get(plan.sire),
        notes=plan.note,
        by=keeper,
        at=nights.moment(*plan.moves[0][:2]),
    )


def _weigh(plan: AnimalPlan, animal: Animal, nights: Nights, keeper: User) -> None:
    """Record its weighings; those of before the first night come from a notebook."""
    first_at = nights.moment(*plan.moves[0][:2])
    for night, mass_g in plan.masses:
        at = nights.moment(night, WEIGHED_AT)
        record_weighing(
            animal=animal,
            mass_g=mass_g,
            at=at,
            by=keeper,
            recorded_at=max(at, first_at),
        )


def _note_state(plan: AnimalPlan, animal: Animal, nights: Nights, keeper: User) -> None:
    if plan.gravid_from_night is not None:
        record_reproductive_state(
            animal=animal,
            state=Reproduction.GRAVID,
            on=nights.on(plan.gravid_from_night),
            basis=plan.note,
            by=keeper,
            at=nights.moment(*plan.moves[0][:2]),
        )
