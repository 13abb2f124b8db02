"""Care tasks: what is due for an animal on a day or over a range of days."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_plans import PlanOut, shown_plan
from api.errors import RefusedError
from api.structs import Asked, Instant, Out, Ref
from api.views import Door
from core.roles import Permission
from husbandry.models import Animal
from husbandry.queries.animal_tasks import animal_tasks
from husbandry.queries.stays import local_day_of
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.sentences.tasks import tell_task
from husbandry.rules.vocabulary import Standing, TaskKind

MOST_DAYS = 92
# What is due then hangs on every feeding until then; two years are more than anybody
# plans for one animal.
AHEAD = timedelta(days=731)


@dataclass(frozen=True, slots=True)
class Names:
    """Codes of what tasks refer to, by key."""

    animals: Mapping[int, str]
    enclosures: Mapping[int, str]
    rooms: Mapping[int, str]
    zone: ZoneInfo


class CareTaskOut(Out, frozen=True):
    """One thing due on one local day; computed, never stored."""

    key: Annotated[
        str, Meta(description="The same whenever the task is computed again.")
    ]
    kind: TaskKind
    due_on: Annotated[date, Meta(description="The local day.")]
    due_at: Annotated[
        Instant | None, Meta(description="The instant, where one matters.")
    ]
    done_on: Annotated[
        date | None, Meta(description="Local day of what closed it; null: open.")
    ]
    open: bool
    animal: Ref | None
    enclosure: Ref | None
    room: Ref | None
    sentence: Annotated[
        str, Meta(description="What to do, in words; times by the site's clock.")
    ]
    plan: PlanOut
    rule_id: Annotated[
        str, Meta(description="The care profile's row; empty: a person ordered it.")
    ]
    source: Annotated[
        str | None, Meta(description="Key of the source that the row names.")
    ]
    standing: Standing | None


class CareTasksAsked(Asked, frozen=True):
    """Whose tasks, and of which days."""

    animal: Annotated[
        str | None, Meta(description="Code of the animal, as on its label; needed.")
    ] = None
    from_on: Annotated[
        date | None,
        Meta(description="First local day; today where the animal is unless given."),
    ] = None
    until_on: Annotated[
        date | None,
        Meta(
            description="Last local day, at most 92 days in all; the first unless given."
        ),
    ] = None


class CareTasksOut(Out, frozen=True):
    """What is due for one animal, day by day."""

    animal: Ref
    from_on: date
    until_on: date
    tasks: tuple[CareTaskOut, ...]


class CareTasks(Door):
    """What is due for an animal."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    asks = {"retrieve": CareTasksAsked}
    gives = {"retrieve": CareTasksOut}

    def retrieve(self, request: Request) -> Response:
        """Show what is due for an animal, and what was done of it.

        Tasks are computed from the care profile, from what was agreed for the animal
        and from what is on record; nothing of them is stored, so any days can be
        asked for.
        """
        asked = self.asked
        assert isinstance(asked, CareTasksAsked)  # noqa: S101 - see `asks`
        animal = _animal(asked.animal)
        today = local_day_of(animal=animal, at=timezone.now())
        from_on = asked.from_on or today
        until_on = asked.until_on or from_on
        _check_days(from_on, until_on, latest_on=today + AHEAD)
        found = animal_tasks(
            animal=animal, from_on=from_on, until_on=until_on, at=timezone.now()
        )
        names = Names({animal.pk: animal.code}, {}, {}, found.zone)
        return Response(
            CareTasksOut(
                animal=Ref(id=animal.pk, code=animal.code),
                from_on=from_on,
                until_on=until_on,
                tasks=shown_tasks(found.tasks, names),
            )
        )


def shown_tasks(tasks: Iterable[CareTask], names: Names) -> tuple[CareTaskOut, ...]:
    """Return tasks as they are answered; no query."""
    return tuple(_shown(task, names) for task in tasks)


def _shown(task: CareTask, names: Names) -> CareTaskOut:
    given = task.provenance
    return CareTaskOut(
        key=task.key,
        kind=task.kind,
        due_on=task.due_on,
        due_at=task.due_at,
        done_on=task.done_on,
        open=task.is_open,
        animal=_ref(task.animal, names.animals),
        enclosure=_ref(task.enclosure, names.enclosures),
        room=_ref(task.room, names.rooms),
        sentence=tell_task(task, zone=names.zone),
        plan=shown_plan(task.plan),
        rule_id=task.rule_id,
        source=given.source if given else None,
        standing=given.standing if given else None,
    )


def _ref(key: int | None, codes: Mapping[int, str]) -> Ref | None:
    return None if key is None else Ref(id=key, code=codes[key])


def _animal(code: str | None) -> Animal:
    accepted = "code of an animal, as on its label"
    if code is None:
        raise RefusedError(
            "no_animal", "Say whose tasks: animal=CODE.", fields={"animal": accepted}
        )
    animal = Animal.objects.filter(code=code).first()
    if animal is None:
        raise RefusedError(
            "unknown_animal",
            f"There is no animal {code!r}. Give the code on its label.",
            fields={"animal": accepted},
        )
    return animal


def _check_days(from_on: date, until_on: date, *, latest_on: date) -> None:
    if from_on > latest_on:
        raise RefusedError(
            "too_far_ahead",
            f"{from_on} is too far ahead to say what will be due; give {latest_on} or "
            "an earlier day.",
            fields={"from_on": f"until {latest_on}"},
        )
    last_on = from_on + timedelta(days=MOST_DAYS - 1)
    if not from_on <= until_on <= last_on:
        raise RefusedError(
            "bad_span",
            f"From {from_on} until {until_on} cannot be answered; until_on must lie "
            f"between {from_on} and {last_on}, {MOST_DAYS} days in all.",
            fields={"until_on": f"{from_on} to {last_on}"},
        )
