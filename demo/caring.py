"""Let the demo's keeper do the rounds: what is due is done, but for what is planted."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from core.models import User
from demo import scenario
from demo.care_stories import (
    COURSE,
    LEFT,
    LENGTHS_CM,
    REFUSES,
    SAMPLE,
    SEEN,
    SEEN_AT,
    Left,
)
from demo.enclosures import ENCLOSURES
from demo.nights import Nights
from demo.plans import NIGHTS
from demo.settling import House
from husbandry.actions.care_records import CareResult
from husbandry.actions.chores import ChoreRow, record_chores
from husbandry.actions.doses import give_dose
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.actions.health_tests import record_test, record_test_result
from husbandry.actions.lamps import check_lamp, fit_lamp
from husbandry.actions.measurings import MeasuringRow, record_measurings
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.actions.prescriptions import prescribe
from husbandry.models import Animal, Lamp, Prescription
from husbandry.queries.care import care_facts
from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.facts import CareFacts
from husbandry.rules.care.tasks import CareTask, FeedPlan, GutLoadPlan, MistPlan
from husbandry.rules.vocabulary import (
    ChoreKind,
    DoseUnit,
    HealthTestKind,
    HealthTestResult,
    LampKind,
    Route,
    RowOutcome,
    TaskKind,
)

FED_AT = time(10, 15)
DOSE_AT = time(11)
METERED_NIGHT = -3
LATE = timedelta(minutes=5)


class CareNotTakenError(RuntimeError):
    """A row of the demo's own care was refused: its tables contradict each other."""


@dataclass(frozen=True, slots=True)
class _Round:
    """One day's tasks, with the codes of those that they are for."""

    night: int
    facts: CareFacts
    tasks: tuple[CareTask, ...]

    def of(self, kind: TaskKind) -> Iterable[CareTask]:
        """Yield the tasks of a kind that the keeper does."""
        left = {one for one in LEFT if (one.kind, one.night) == (kind, self.night)}
        return (t for t in self.tasks if t.kind is kind and not self._is_left(t, left))

    def _is_left(self, task: CareTask, left: set[Left]) -> bool:
        at = task.plan.time if isinstance(task.plan, MistPlan) else None
        return Left(task.kind, self.code(task), self.night, at) in left

    def code(self, task: CareTask) -> str:
        """Return the code of the animal, enclosure or room of a task."""
        if task.animal is not None:
            return next(a.code for a in self.facts.animals if a.id == task.animal)
        if task.enclosure is not None:
            return self.facts.enclosures[task.enclosure].code
        return self.facts.rooms[task.room or 0].code


def care(*, house: House, animals: dict[str, Animal], nights: Nights) -> None:
    """Do fourteen days of rounds, and write down what was done and seen.

    Args:
        house: where they live.
        animals: by code, with their stays and weighings on record.
        nights: the demo's calendar.
    """
    keeper = house.people[scenario.KEEPER]
    _fit_lamps(house, nights)
    _prescribe(house, animals, nights)
    for night in range(1, NIGHTS + 1):
        _do_round(house, nights, night, keeper)
    _give_doses(animals[COURSE.animal], keeper)
    _write_down(nights, keeper)
    _test(house, animals, nights)


def _do_round(house: House, nights: Nights, night: int, keeper: User) -> None:
    on = nights.on(night)
    facts = care_facts(site=house.site, from_on=on, until_on=on)
    day = _Round(night, facts, tasks_due(facts, from_on=on, until_on=on))
    fed_at = nights.moment(night, FED_AT)
    fed = [_fed(day, task, fed_at) for task in day.of(TaskKind.FEED)]
    taken(record_feedings(rows=fed, by=keeper, recorded_at=fed_at))
    done = [_loaded(house, day, task) for task in day.of(TaskKind.GUT_LOAD)]
    done += [_misted(day, task) for task in day.of(TaskKind.MIST)]
    for row in done:
        taken(record_chores(rows=[row], by=keeper, recorded_at=row.at))


def _fed(day: _Round, task: CareTask, at: datetime) -> FeedingRow:
    plan, code = task.plan, day.code(task)
    assert isinstance(plan, FeedPlan)  # noqa: S101 - a feeding task has no other plan
    spread = plan.portion_high - plan.portion_low + 1
    offered = plan.portion_low + (day.night + len(code)) % spread
    first, last = REFUSES.get(code, (0, -1))
    return FeedingRow(
        animal=code,
        at=at,
        feeder=plan.feeder,
        offered=offered,
        eaten=0 if first <= day.night <= last else offered,
        supplements=tuple(s.id for s in plan.supplements),
    )


def _loaded(house: House, day: _Round, task: CareTask) -> ChoreRow:
    plan, at = task.plan, task.due_at
    assert isinstance(plan, GutLoadPlan)  # noqa: S101 - as above
    assert at is not None  # noqa: S101 - insects are fed so long before they are offered
    return ChoreRow(
        kind=ChoreKind.GUT_LOADING,
        at=at,
        room=(house.site.code, day.code(task)),
        feeder=plan.feeder,
    )


def _misted(day: _Round, task: CareTask) -> ChoreRow:
    assert task.due_at is not None  # noqa: S101 - misting goes by the lights
    return ChoreRow(ChoreKind.MISTING, at=task.due_at, enclosure=day.code(task))


def _fit_lamps(house: House, nights: Nights) -> None:
    """Put every UVB lamp on record, with a reading from the notebook."""
    manager, keeper = house.people[scenario.MANAGER], house.people[scenario.KEEPER]
    at, metered_at = (
        nights.moment(1, scenario.OPENING),
        nights.moment(METERED_NIGHT, FED_AT),
    )
    for plan in (p for p in ENCLOSURES if p.uv_new):
        lamp: Lamp = fit_lamp(
            enclosure=house.enclosures[plan.code],
            kind=LampKind.UVB_TUBE,
            label="T5, 6 % class",
            fitted_on=nights.on(1) - timedelta(days=round(plan.uv_age_days)),
            by=manager,
            at=at,
        )
        age = (plan.uv_age_days + METERED_NIGHT) / plan.uv_half_life_days
        check_lamp(
            lamp=lamp,
            uv_index=Decimal(f"{plan.uv_new * 0.5**age:.1f}"),
            distance_cm=None,
            at=metered_at,
            by=keeper,
            recorded_at=at,
            note="From the notebook.",
        )


def _prescribe(house: House, animals: dict[str, Animal], nights: Nights) -> None:
    vet = next(p for p in scenario.PEOPLE if p.username == scenario.VET)
    at = nights.moment(COURSE.first_night, scenario.LIGHTS_ON)
    prescribe(
        animal=animals[COURSE.animal],
        drug=COURSE.drug,
        dose_per_kg=COURSE.mg_per_kg,
        dose_unit=DoseUnit.MG_PER_KG,
        concentration_mg_per_ml=COURSE.mg_per_ml,
        route=Route.BY_MOUTH,
        every_hours=24,
        first_at=nights.moment(COURSE.first_night, DOSE_AT),
        until_on=nights.on(COURSE.last_night),
        smallest_step_ml=Decimal("0.01"),
        vet=f"{vet.first_name} {vet.last_name}, house vet of the demo",
        prescribed_on=nights.on(COURSE.first_night),
        reason=COURSE.reason,
        by=house.people[scenario.VET],
        at=at,
    )


def _give_doses(animal: Animal, keeper: User) -> None:
    prescription = Prescription.objects.get(animal=animal)
    first_at = prescription.first_at
    for night in range(COURSE.first_night, COURSE.last_night + 1):
        if night == COURSE.missed_night:
            continue
        due_at = first_at + timedelta(days=night - COURSE.first_night)
        give_dose(
            prescription=prescription,
            due_at=due_at,
            given_at=due_at + LATE,
            by=keeper,
            recorded_at=due_at + LATE,
        )


def _write_down(nights: Nights, keeper: User) -> None:
    for one in SEEN:
        at = nights.moment(one.night, SEEN_AT)
        row = ObservationRow(
            animal=one.animal,
            at=at,
            kind=one.kind,
            sign=one.sign,
            observed=one.observed,
            urates=one.urates,
            look_again_on=_on(nights, one.look_again_night),
            note=one.note,
        )
        taken(record_observations(rows=[row], by=keeper, recorded_at=at))
    measured_at = nights.moment(2, SEEN_AT)
    lengths = [
        MeasuringRow(
            animal=code,
            at=measured_at,
            snout_vent_cm=Decimal(snout_vent_cm),
            total_cm=Decimal(total_cm),
        )
        for code, (snout_vent_cm, total_cm) in LENGTHS_CM.items()
    ]
    taken(record_measurings(rows=lengths, by=keeper, recorded_at=measured_at))


def _on(nights: Nights, night: int | None) -> date | None:
    return None if night is None else nights.on(night)


def _test(house: House, animals: dict[str, Animal], nights: Nights) -> None:
    by = house.people[scenario.VET]
    test = record_test(
        animal=animals[SAMPLE.animal],
        kind=HealthTestKind.FAECAL,
        taken_on=nights.on(SAMPLE.taken_night),
        laboratory="An invented laboratory",
        expected_on=nights.on(SAMPLE.expected_night),
        by=by,
        at=nights.moment(SAMPLE.taken_night, SEEN_AT),
    )
    record_test_result(
        test=test,
        result=HealthTestResult.NOTHING_FOUND,
        result_on=nights.on(SAMPLE.result_night),
        finding="",
        by=by,
        at=nights.moment(SAMPLE.result_night, SEEN_AT),
    )


def taken(results: Sequence[CareResult]) -> None:
    """Stop where a row of the demo's own was refused: its tables contradict.

    Raises:
        CareNotTakenError: with the reason.
    """
    for result in results:
        if result.outcome is RowOutcome.REFUSED:
            raise CareNotTakenError(result.sentence)
