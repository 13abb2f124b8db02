"""Put the demo's animals on record: where from, moved where, weighed when."""

from datetime import time, timedelta

from core.models import User
from demo import scenario
from demo.animals import ANIMALS
from demo.nights import Nights
from demo.plans import AnimalPlan
from demo.settling import House
from husbandry.actions.animals import record_reproductive_state, register_animal
from husbandry.actions.stays import move_animal
from husbandry.actions.weights import record_weighing
from husbandry.models import Animal, Species
from husbandry.rules.sexes import sex_by_heel_spur
from husbandry.rules.vocabulary import DatePrecision, Reproduction, Sex

WEIGHED_AT = time(17)


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
        animals[plan.code] = _register(plan, animals, species, nights, keeper)
    moves = [(nights.moment(*m[:2]), p.code, m[2]) for p in ANIMALS for m in p.moves]
    for moved_at, code, to in sorted(moves):
        move_animal(
            animal=animals[code], to=house.enclosures[to], by=keeper, at=moved_at
        )
    for plan in ANIMALS:
        _weigh(plan, animals[plan.code], nights, keeper)
        _note_state(plan, animals[plan.code], nights, keeper)
    return animals


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
