"""Record looks at heels, and let them settle an animal's sex as the policy asks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from clutches.models import SexingPolicy, SpurCheck
from clutches.queries.sexing import (
    VERB,
    looks_at,
    second_look_asked,
    sexes_before_looks,
)
from clutches.rules.sexing.looks import (
    BY_LOOKS,
    Look,
    SexingError,
    Why,
    check_markable,
    gives_way,
    settle,
)
from clutches.rules.vocabulary import Heel
from core import audit
from core.models import User
from husbandry.actions.animal_books import Subjects, lock_subjects
from husbandry.actions.care_books import CareBook, Ruling
from husbandry.actions.care_records import CareResult, mark_judged_by
from husbandry.actions.sexing import note_sexes, sexing_of
from husbandry.actions.staleness import mark_animal_stale, mark_animals_stale
from husbandry.models import Animal
from husbandry.rules.sexes import UNSEXED, Sexing
from husbandry.rules.vocabulary import RowOutcome, Sex

SPUR_CHECK = Ruling(
    "spur check", key=("animal_id", "at", "looked_by_id"), content=("left", "right")
)
REASON = "By looks at the heels."
LONGEST_REASON = 300
REMARKS = {
    Why.SECOND_LOOK: "Likely; it counts as confirmed once another person has looked "
    "and seen the same.",
    Why.DISAGREE: "The looks disagree, so the sex stays open until one of these people "
    "looks again and sees otherwise.",
    Why.ONE_SIDED: "A bump at one heel only leaves the sex open; look again when it is "
    "larger.",
    Why.UNCLEAR: "The sex stays open until a look is clear.",
}


@dataclass(frozen=True, slots=True)
class SpurCheckRow:
    """One line of a list of looks at heels.

    Attributes:
        animal: the animal's code.
        at: when somebody looked.
        left, right: what was seen at the heel of each hind foot.
        looked_by: who looked; None: whoever records it.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the look that it replaces, which is struck out.
    """

    animal: str
    at: datetime
    left: Heel
    right: Heel
    looked_by: User | None = None
    note: str = ""
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class Settled:
    """What looks left open of one animal, and the sex that was on record before."""

    why: Why | None
    before: Sexing


@transaction.atomic
def record_spur_checks(
    *, rows: Sequence[SpurCheckRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of looks at heels; a bad line does not keep the others out.

    The animals' sexes follow from all looks in force, see `settle`; which sex known by
    something else stays, see `gives_way`. Reviews from those days on are marked
    stale. As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person who records.
        recorded_at: now.

    Returns:
        What became of each line, in their order; what is still open is a remark.
    """
    subjects = lock_subjects(rows)
    book = CareBook(SpurCheck, SPUR_CHECK, by, recorded_at)
    book.look_up(
        Q(
            animal__in=[a.pk for a in subjects.animals.values()],
            at__in={row.at for row in rows},
        ),
        corrects={row.corrects for row in rows if row.corrects is not None},
        along=("animal", "looked_by"),
    )

    def enter(row: SpurCheckRow) -> None:
        animal = subjects.animal(row.animal)
        record = SpurCheck(
            animal=animal,
            at=row.at,
            left=row.left.value,
            right=row.right.value,
            looked_by=row.looked_by or by,
            note=row.note,
        )
        book.enter(
            record,
            corrects=row.corrects,
            check=lambda: _check(animal, row.at, subjects, recorded_at),
        )

    book.enter_each(rows, enter)
    results = book.write()
    touched = [*book.added(), *book.corrected()]
    _mark(touched, recorded_at)
    animals = {animal.pk: animal for animal in subjects.animals.values()}
    for record in touched:
        animals.setdefault(record.animal_id, record.animal)
    settled = _settle(
        {pk: animals[pk] for pk in {record.animal_id for record in touched}},
        by=by,
        at=recorded_at,
    )
    return tuple(
        _remarked(result, row, subjects, settled)
        for result, row in zip(results, rows, strict=True)
    )


def _check(
    animal: Animal, at: datetime, subjects: Subjects, recorded_at: datetime
) -> tuple[str, ...]:
    on = subjects.check_instant(animal, at=at, recorded_at=recorded_at)
    check_markable(subjects.profile_of(animal, on), label=str(animal))
    return ()


def _mark(touched: Sequence[SpurCheck], at: datetime) -> None:
    since_at: dict[int, datetime] = {}
    for record in touched:
        since = since_at.get(record.animal_id, record.at)
        since_at[record.animal_id] = min(since, record.at)
    if since_at:
        mark_animals_stale(since_at=since_at, at=at)


def _settle(
    animals: Mapping[int, Animal], *, by: User | None, at: datetime
) -> dict[int, Settled]:
    """Let all looks in force settle the sexes of animals, or open them again.

    Returns:
        By animal, what is still open, and the sex on record before.
    """
    looks = looks_at(animal_ids=animals.keys())
    second_look = second_look_asked(on=at.date())
    without = [pk for pk in animals if pk not in looks]
    before = sexes_before_looks(animal_ids=without) if without else {}
    sexings: dict[Animal, Sexing] = {}
    settled: dict[int, Settled] = {}
    for pk, animal in animals.items():
        verdict = settle(looks.get(pk, ()), second_look=second_look)
        settled[pk] = Settled(verdict.why, sexing_of(animal))
        if gives_way(settled[pk].before, verdict):
            known = before.get(pk, UNSEXED) if pk in without else verdict.sexing
            sexings[animal] = known
    note_sexes(sexings=sexings, verb=VERB, reason=REASON, by=by, at=at)
    return settled


def _remarked(
    result: CareResult,
    row: SpurCheckRow,
    subjects: Subjects,
    settled: Mapping[int, Settled],
) -> CareResult:
    animal = subjects.animals.get(row.animal)
    if result.outcome is not RowOutcome.STORED or animal is None:
        return result
    said = settle([Look(row.left, row.right, None, row.at)], second_look=False)
    found = settled[animal.pk]
    stays = sexing_of(animal).basis not in BY_LOOKS
    remarks = []
    if found.before.basis not in BY_LOOKS:
        remarks.append(_compared(animal, found.before, said.sexing.sex, stays=stays))
    if found.why is not None and not stays:
        remarks.append(REMARKS[found.why])
    return replace(result, remarks=(*result.remarks, *remarks))


def _compared(animal: Animal, known: Sexing, seen: Sex, *, stays: bool) -> str:
    """Return how a look compares with a sex that was known by something else."""
    verb = "is" if stays else "was"
    by = known.basis.value.replace("_", " ")
    what = "that stays" if stays else "the look counts for more, as that was not sure"
    differs = seen not in (known.sex, Sex.UNKNOWN) and known.sex is not Sex.UNKNOWN
    odd = " This look says otherwise: look into it." if differs else ""
    return f"{animal} {verb} on record as {known.sex.value} by {by}; {what}.{odd}"


@mark_judged_by.register
def _(record: SpurCheck, at: datetime) -> None:
    """Judge again, and let the looks that are left settle the sex."""
    mark_animal_stale(animal=record.animal, since_at=record.at, at=at)
    animal = Animal.objects.select_for_update(no_key=True).get(pk=record.animal_id)
    _settle({animal.pk: animal}, by=record.struck_by, at=at)


@transaction.atomic
def set_sexing_policy(
    *, second_look: bool, from_on: date, reason: str, by: User | None, at: datetime
) -> SexingPolicy:
    """Decide whether a sex by heel spur needs a second person's look, from a day on.

    What is on record is not settled again: only looks from then on are held to it.

    Args:
        second_look: whether it does.
        from_on: the first day on which it holds; not before today anywhere.
        reason: why, up to 300 characters.
        by: the person.
        at: now.

    Raises:
        SexingError: no reason, or a day that is past.
    """
    if not 1 <= len(reason.strip()) <= LONGEST_REASON:
        raise SexingError(
            f"Say why, in 1 to {LONGEST_REASON} characters.",
            fields={"reason": f"1 to {LONGEST_REASON} characters"},
        )
    if from_on < at.date():
        raise SexingError(
            f"{from_on:%d %b %Y} is past; sexes that were settled stay settled. Give "
            f"{at:%d %b %Y} or a later day.",
            fields={"from_on": f"{at.date()} or later"},
        )
    policy = SexingPolicy.objects.create(
        second_look=second_look,
        from_on=from_on,
        reason=reason.strip(),
        decided_by=by,
        decided_at=at,
    )
    audit.record(
        policy,
        verb="set_sexing_policy",
        by=by,
        at=at,
        after=audit.values(policy, "second_look", "from_on"),
        reason=policy.reason,
    )
    return policy
