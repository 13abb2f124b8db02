"""Record what animals were offered and ate."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
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
from husbandry.models import Animal, Feeding, FeedingOrder
from husbandry.rules.care_entries import check_amounts
from husbandry.rules.feeding_remarks import (
    check_food,
    d3_supplements,
    remark_on_d3,
    remark_on_fast,
    remarks_on_food,
)
from husbandry.rules.vocabulary import FeedingOrderKind

FEEDING = Ruling(
    "feeding",
    key=("animal_id", "at", "feeder"),
    content=("offered", "eaten", "supplements", "assisted"),
)
_DAY = timedelta(days=1)
_MONTH = tuple[int, int, int]
"""An animal's key, a year and a month."""


@dataclass(frozen=True, slots=True)
class FeedingRow:
    """One line of a list of feedings.

    Attributes:
        animal: the animal's code.
        at: when it was fed.
        feeder: id of a feeder row of its species' profile.
        offered: how many, 1 to 1000.
        eaten: how many of these; None: nobody watched.
        supplements: ids of supplement rows; the order says nothing.
        assisted: given by hand or syringe.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the feeding that it replaces, which is struck out.
    """

    animal: str
    at: datetime
    feeder: str
    offered: int
    eaten: int | None = None
    supplements: tuple[str, ...] = ()
    assisted: bool = False
    note: str = ""
    corrects: int | None = None


@transaction.atomic
def record_feedings(
    *, rows: Sequence[FeedingRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of feedings; a bad line does not keep the others out.

    Reviews that judged the animals from those days on are marked stale. The same
    list recorded again changes nothing. As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order. What was unwise about a feeding
        is a remark; it is kept, for it was given.
    """
    subjects = lock_subjects(rows)
    book = open_book(
        Feeding, FEEDING, rows=rows, subjects=subjects, by=by, recorded_at=recorded_at
    )
    counsel = _counsel(rows, subjects)

    def enter(row: FeedingRow) -> None:
        animal = subjects.animal(row.animal)
        record = Feeding(
            animal=animal,
            at=row.at,
            feeder=row.feeder,
            offered=row.offered,
            eaten=row.eaten,
            supplements=sorted(set(row.supplements)),
            assisted=row.assisted,
            note=row.note,
        )
        check = partial(_checked, record, animal, subjects, counsel, recorded_at)
        book.enter(record, corrects=row.corrects, check=check)

    book.enter_each(rows, enter)
    results = book.write()
    mark_animals_of(book)
    return results


@dataclass(frozen=True, slots=True)
class _Counsel:
    """What remarks are made by: fasts by animal; days with D3 by animal and month."""

    fasts: Mapping[int, Sequence[FeedingOrder]]
    d3_days: dict[_MONTH, set[date]]


def _checked(
    record: Feeding,
    animal: Animal,
    subjects: Subjects,
    counsel: _Counsel,
    recorded_at: datetime,
) -> tuple[str, ...]:
    """Refuse a feeding that cannot be; return what to remark on one that is kept."""
    on = subjects.check_instant(animal, at=record.at, recorded_at=recorded_at)
    check_amounts(offered=record.offered, eaten=record.eaten)
    profile = subjects.profile_of(animal, on)
    check_food(profile, feeder=record.feeder, supplements=record.supplements)
    hatched_on = animal.hatched_on
    age_days = (on - hatched_on).days if hatched_on and hatched_on <= on else None
    remarks = [
        *remarks_on_food(profile, feeder=record.feeder, age_days=age_days),
        *(
            remark_on_fast(
                from_on=fast.from_on, until_on=fast.until_on, reason=fast.reason
            )
            for fast in counsel.fasts.get(animal.pk, ())
            if fast.from_on <= on <= fast.until_on
        ),
    ]
    d3 = d3_supplements(profile) if profile else {}
    given = [d3[name] for name in record.supplements if name in d3]
    if given:
        month = counsel.d3_days[animal.pk, on.year, on.month]
        month.add(on)
        remarks.append(remark_on_d3(given, days=len(month), on=on))
    return tuple(filter(None, remarks))


def _counsel(rows: Sequence[FeedingRow], subjects: Subjects) -> _Counsel:
    """Gather what remarks are made by; two queries, the second only where D3 is."""
    ids = [a.pk for a in subjects.animals.values()]
    fasts: dict[int, list[FeedingOrder]] = defaultdict(list)
    for fast in FeedingOrder.objects.filter(
        animal__in=ids,
        kind=FeedingOrderKind.FAST.value,
        withdrawn_at__isnull=True,
    ).order_by("from_on", "pk"):
        fasts[fast.animal_id].append(fast)
    return _Counsel(fasts, _days_with_d3(rows, subjects))


def _days_with_d3(
    rows: Sequence[FeedingRow], subjects: Subjects
) -> dict[_MONTH, set[date]]:
    """Return on which days of the lines' months D3 was given; one query at most."""
    found: dict[_MONTH, set[date]] = defaultdict(set)
    powders = {
        pair: set(d3_supplements(profile))
        for pair, profile in subjects.profiles.items()
    }
    every = set().union(*powders.values())
    dusted = [row for row in rows if every.intersection(row.supplements)]
    animals = {
        a.pk: a for row in dusted if (a := subjects.animals.get(row.animal)) is not None
    }
    if not animals:
        return found
    replaced = {row.corrects for row in rows if row.corrects is not None}
    # A day more at both ends, and a month of at most 31: local days turn elsewhere.
    first = (min(row.at for row in dusted) - _DAY).replace(day=1) - _DAY
    last = (max(row.at for row in dusted) + _DAY).replace(day=1) + 32 * _DAY
    for feeding in (
        Feeding.objects.filter(
            animal__in=animals, at__range=(first, last), struck_at__isnull=True
        )
        .exclude(pk__in=replaced)
        .only("animal_id", "at", "supplements")
    ):
        if every.intersection(feeding.supplements):
            on = subjects.day_of(animals[feeding.animal_id], feeding.at)
            found[feeding.animal_id, on.year, on.month].add(on)
    return found
