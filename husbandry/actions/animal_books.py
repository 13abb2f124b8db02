"""A page of the care book for lines about animals: who they are, and since when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, TypeVar

from django.db.models import Q

from core.models import User
from husbandry.actions.care_books import CareBook, Ruling
from husbandry.actions.staleness import mark_animals_stale
from husbandry.models import Animal, Feeding, Measuring, Observation
from husbandry.queries.profiles import profiles_on_days
from husbandry.queries.returns import times_away
from husbandry.queries.whereabouts import Whereabouts, whereabouts
from husbandry.rules.care_entries import CareEntryError, TimeHere, check_instant
from husbandry.rules.profiles.values import Profile
from husbandry.rules.returns import TimeAway
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision

R = TypeVar("R", bound=Feeding | Observation | Measuring)


class SubjectRow(Protocol):
    """What says of which animal it is, by its code, and of when."""

    @property
    def animal(self) -> str:
        """The animal's code."""

    @property
    def at(self) -> datetime:
        """When it was done or seen."""


class AnimalRow(SubjectRow, Protocol):
    """A line of the care book about an animal."""

    @property
    def corrects(self) -> int | None:
        """The key of the entry that it replaces."""


@dataclass(frozen=True, slots=True)
class Subjects:
    """The animals of a list, where they were or were not, their profiles on its days."""

    animals: Mapping[str, Animal]
    places: Whereabouts
    profiles: Mapping[tuple[int, date], Profile]
    away: Mapping[int, tuple[TimeAway, ...]]

    def animal(self, code: str) -> Animal:
        """Return an animal by its code.

        Raises:
            CareEntryError: there is none.
        """
        animal = self.animals.get(code)
        if animal is None:
            raise CareEntryError(
                f"There is no animal {code!r}. Give the code on its label.",
                fields={"animal": "the code of an animal"},
            )
        return animal

    def day_of(self, animal: Animal, at: datetime) -> date:
        """Return the local day of an instant where an animal was."""
        return self.places.local_day(animal.pk, at=at)

    def profile_of(self, animal: Animal, on: date) -> Profile | None:
        """Return what is in force for an animal on one of the list's days."""
        return self.profiles.get((animal.species_id, on))

    def check_instant(
        self, animal: Animal, *, at: datetime, recorded_at: datetime
    ) -> date:
        """Return the local day of an entry about an animal.

        Raises:
            CareEntryError: nothing can have been done or seen of it then.
        """
        on = self.day_of(animal, at)
        exact = animal.hatched_precision == DatePrecision.DAY
        here = TimeHere(
            str(animal),
            animal.hatched_on if exact else None,
            animal.left_on,
            never_here=animal.status == AnimalStatus.ELSEWHERE,
            away=self.away.get(animal.pk, ()),
        )
        check_instant(here, at=at, on=on, recorded_at=recorded_at)
        return on


def lock_subjects(rows: Sequence[SubjectRow]) -> Subjects:
    """Lock the animals of a list until the end of the transaction; five queries.

    Args:
        rows: codes that no animal has are passed over.
    """
    found = (
        # Rows that only point to the animals, as a stay does, need not wait.
        Animal.objects.select_for_update(no_key=True)
        .filter(code__in={row.animal for row in rows})
        .order_by("pk")
    )
    animals = {animal.code: animal for animal in found}
    places = whereabouts(animal_ids=[a.pk for a in animals.values()])
    wanted = {
        (animal.species_id, places.local_day(animal.pk, at=row.at))
        for row in rows
        if (animal := animals.get(row.animal)) is not None
    }
    away = times_away(animals=animals.values())
    return Subjects(animals, places, profiles_on_days(wanted=wanted), away)


def open_book(
    model: type[R],
    ruling: Ruling,
    *,
    rows: Sequence[AnimalRow],
    subjects: Subjects,
    by: User | None,
    recorded_at: datetime,
) -> CareBook[R]:
    """Open the page for a list about animals that are locked; one query."""
    book = CareBook(model, ruling, by, recorded_at)
    book.look_up(
        Q(
            animal__in=[a.pk for a in subjects.animals.values()],
            at__in={row.at for row in rows},
        ),
        corrects={row.corrects for row in rows if row.corrects is not None},
        along=("animal",),
    )
    return book


def mark_animals_of(book: CareBook[R]) -> None:
    """Mark stale what was judged without the new entries of a page, or by the old."""
    since_at: dict[int, datetime] = {}
    for record in (*book.added(), *book.corrected()):
        since = since_at.get(record.animal_id, record.at)
        since_at[record.animal_id] = min(since, record.at)
    if since_at:
        mark_animals_stale(since_at=since_at, at=book.recorded_at)
