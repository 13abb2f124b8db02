"""Care of which a site records nothing, so that its silence is not taken for health."""

from collections.abc import Iterator, Sequence
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CareFacts
from husbandry.rules.care.judging import CONVENTION, judged_from, rhythm_on
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.vocabulary import FindingKind, TaskKind, Urgency


def care_unrecorded(
    facts: CareFacts, tasks: Sequence[CareTask], *, on: date
) -> Assessment | None:
    """Say of which kinds of care a site that needs them has never recorded anything.

    Lamps count as recorded once one is fitted or was measured.

    Args:
        facts: what is on record of the site.
        tasks: what was due in the last days.
        on: the day, at its end.

    Returns:
        None where every kind of care that an animal needs was recorded once; one for
        the whole site otherwise.

    Source:
        care-task-convention
    """
    kinds = [k for k in _wanted(facts, tasks, on) if not _recorded(facts, k, on)]
    if not kinds:
        return None
    return Assessment(
        kind=FindingKind.CARE_UNRECORDED,
        urgency=Urgency.WATCH,
        facts={
            "kinds": [kind.value for kind in kinds],
            "on": on.isoformat(),
            "animals": len(facts.animals),
            "convention": CONVENTION,
        },
    )


def _wanted(
    facts: CareFacts, tasks: Sequence[CareTask], on: date
) -> Iterator[TaskKind]:
    fed = [a for a in facts.animals if rhythm_on(a, on) is not None]
    housed = [a for a in facts.animals if a.enclosure in facts.enclosures]
    if fed:
        yield TaskKind.FEED
    if any(a.profile and a.profile.gut_load for a in fed):
        yield TaskKind.GUT_LOAD
    if any(t.kind is TaskKind.MIST and t.due_on <= on for t in tasks):
        yield TaskKind.MIST
    if any(a.profile and a.profile.lamps for a in housed):
        yield TaskKind.UV_CHECK


def _recorded(facts: CareFacts, kind: TaskKind, on: date) -> bool:
    if judged_from(facts, kind, on=on) is not None:
        return True
    return kind is TaskKind.UV_CHECK and any(
        lamp.fitted_on <= on for e in facts.enclosures.values() for lamp in e.lamps
    )
