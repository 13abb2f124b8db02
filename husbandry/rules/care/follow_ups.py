"""Looking again at what was seen, and asking for results of tests."""

from collections.abc import Iterator
from datetime import date

from husbandry.rules.care.facts import CaredAnimal, ObservationFact, TestFact
from husbandry.rules.care.task_keys import animal_key
from husbandry.rules.care.tasks import CareTask, LookPlan
from husbandry.rules.profiles.care_rows import warning_sign
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import HealthTestResult, TaskKind


def follow_up_tasks(
    animal: CaredAnimal, *, from_on: date, until_on: date
) -> tuple[CareTask, ...]:
    """Return when somebody must look at an animal again, in a range of days.

    Any later observation of the animal on that day or after it closes the task,
    whatever it says: somebody has looked.

    Args:
        animal: with its observations in force.
        from_on: first day of the range.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    return tuple(
        _task(
            TaskKind.FOLLOW_UP,
            animal,
            due_on,
            LookPlan(seen.id, seen.on, _words(animal.profile, seen)),
            next((o.on for o in _later(animal, seen) if o.on >= due_on), None),
        )
        for seen in animal.observations
        if (due_on := seen.look_again_on) is not None and from_on <= due_on <= until_on
    )


def awaited_result_tasks(
    animal: CaredAnimal, *, from_on: date, until_on: date
) -> tuple[CareTask, ...]:
    """Return which results of tests should be there, in a range of days.

    Args:
        animal: with its tests; those without an expected day make no task.
        from_on: first day of the range.
        until_on: last day of the range.
    """
    return tuple(
        _task(
            TaskKind.TEST_RESULT,
            animal,
            due_on,
            LookPlan(test.id, test.taken_on, test.kind.value, test.kind),
            _answered_on(test),
        )
        for test in animal.tests
        if (due_on := test.expected_on) is not None and from_on <= due_on <= until_on
    )


def _later(animal: CaredAnimal, seen: ObservationFact) -> Iterator[ObservationFact]:
    return (o for o in animal.observations if (o.at, o.id) > (seen.at, seen.id))


def _answered_on(test: TestFact) -> date | None:
    return None if test.result is HealthTestResult.AWAITED else test.result_on


def _words(profile: Profile | None, seen: ObservationFact) -> str:
    """Return what was seen, in the profile's words for a sign, and the note."""
    sign = warning_sign(profile, seen.sign) if profile else None
    what = sign.text if sign else seen.sign or seen.kind.value
    how = seen.observed.value.replace("_", " ") if seen.observed else ""
    named = f"{what} ({how})" if how else what
    return f"{named}: {seen.note}" if seen.note else named


def _task(
    kind: TaskKind,
    animal: CaredAnimal,
    due_on: date,
    plan: LookPlan,
    done_on: date | None,
) -> CareTask:
    return CareTask(
        key=animal_key(kind, animal.id, due_on, plan.about),
        kind=kind,
        due_on=due_on,
        due_at=None,
        animal=animal.id,
        enclosure=None,
        room=None,
        plan=plan,
        done_on=done_on,
        rule_id="",
        provenance=None,
    )
