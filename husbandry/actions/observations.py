"""Record what people saw of animals."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from django.db import transaction

from core.models import User
from husbandry.actions.animal_books import (
    Subjects,
    lock_subjects,
    mark_animals_of,
    open_book,
)
from husbandry.actions.care_books import Ruling
from husbandry.actions.care_records import CareResult
from husbandry.models import Animal, Observation, ReproductiveSpell
from husbandry.rules.observations import Seen, check_observation, remark_on_laying
from husbandry.rules.vocabulary import (
    ObservationKind,
    Observed,
    Reproduction,
    Sex,
    Urates,
)

OBSERVATION = Ruling(
    "observation",
    key=("animal_id", "at", "kind", "sign"),
    content=("observed", "urates", "eggs", "look_again_on"),
)


@dataclass(frozen=True, slots=True)
class ObservationRow:
    """One line of a list of observations.

    Attributes:
        animal: the animal's code.
        at: when it was seen.
        kind: what; which words go with it, `rules.observations.WORDS` says.
        sign: id of a warning sign of its species' profile; signs only.
        observed: how it was.
        urates: droppings only.
        eggs: how many so far; laying only.
        look_again_on: a later local day on which somebody must look again.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the observation that it replaces, which is struck out.
    """

    animal: str
    at: datetime
    kind: ObservationKind
    sign: str = ""
    observed: Observed | None = None
    urates: Urates | None = None
    eggs: int | None = None
    look_again_on: date | None = None
    note: str = ""
    corrects: int | None = None

    @property
    def seen(self) -> Seen:
        """Return what the rules judge."""
        return Seen(
            self.kind,
            sign=self.sign,
            observed=self.observed,
            urates=self.urates,
            eggs=self.eggs,
            look_again_on=self.look_again_on,
            note=self.note,
        )


@transaction.atomic
def record_observations(
    *, rows: Sequence[ObservationRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of observations; a bad line does not keep the others out.

    Reviews that judged the animals from those days on are marked stale. The same
    list recorded again changes nothing. As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order. That a female has finished laying
        does not end her gravid spell: it is remarked that somebody has to.
    """
    subjects = lock_subjects(rows)
    book = open_book(
        Observation,
        OBSERVATION,
        rows=rows,
        subjects=subjects,
        by=by,
        recorded_at=recorded_at,
    )
    gravid, signs = _gravid_since(rows, subjects), _signs_on_record(rows, subjects)

    def enter(row: ObservationRow) -> None:
        animal = subjects.animal(row.animal)
        record = _record(row, animal)
        check = partial(_checked, row, animal, subjects, gravid, signs, recorded_at)
        book.enter(record, corrects=row.corrects, check=check)

    book.enter_each(rows, enter)
    results = book.write()
    mark_animals_of(book)
    return results


def _record(row: ObservationRow, animal: Animal) -> Observation:
    return Observation(
        animal=animal,
        at=row.at,
        kind=row.kind.value,
        sign=row.sign,
        observed=row.observed.value if row.observed else "",
        urates=row.urates.value if row.urates else "",
        eggs=row.eggs,
        look_again_on=row.look_again_on,
        note=row.note,
    )


def _checked(
    row: ObservationRow,
    animal: Animal,
    subjects: Subjects,
    gravid: Mapping[int, date],
    signs: Mapping[int, set[str]],
    recorded_at: datetime,
) -> tuple[str, ...]:
    """Refuse an observation that cannot be; return what to remark on one kept."""
    on = subjects.check_instant(animal, at=row.at, recorded_at=recorded_at)
    profile = subjects.profile_of(animal, on)
    check_observation(
        row.seen,
        profile=profile,
        sex=Sex(animal.sex),
        on=on,
        signs_on_record=signs.get(animal.pk, ()),
    )
    since_on = gravid.get(animal.pk)
    if _laid(row) and since_on is not None and since_on <= on:
        return (remark_on_laying(str(animal), gravid_from_on=since_on),)
    return ()


def _signs_on_record(
    rows: Sequence[ObservationRow], subjects: Subjects
) -> dict[int, set[str]]:
    """Return which signs were seen of those that have one no more; one query at most."""
    gone = {row.animal for row in rows if _gone(row)}
    animals = [a.pk for code, a in subjects.animals.items() if code in gone]
    found: dict[int, set[str]] = defaultdict(set)
    if animals:
        seen = Observation.objects.filter(
            animal__in=animals,
            kind=ObservationKind.SIGN.value,
            observed=Observed.PRESENT.value,
            struck_at__isnull=True,
        )
        for animal, sign in seen.order_by().values_list("animal_id", "sign").distinct():
            found[animal].add(sign)
    return found


def _gone(row: ObservationRow) -> bool:
    return row.kind is ObservationKind.SIGN and row.observed is Observed.GONE


def _laid(row: ObservationRow) -> bool:
    return row.kind is ObservationKind.LAYING and row.observed is Observed.FINISHED


def _gravid_since(
    rows: Sequence[ObservationRow], subjects: Subjects
) -> dict[int, date]:
    """Return since when those that laid are on record as gravid; one query at most."""
    laid = {row.animal for row in rows if _laid(row)}
    animals = [a.pk for code, a in subjects.animals.items() if code in laid]
    if not animals:
        return {}
    spells = ReproductiveSpell.objects.filter(
        animal__in=animals, state=Reproduction.GRAVID.value, until_on__isnull=True
    )
    return dict(spells.values_list("animal_id", "from_on"))
