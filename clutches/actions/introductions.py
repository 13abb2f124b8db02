"""Record that pairs were put together, and what came of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial

from django.db import transaction
from django.db.models import Q

from clutches.models import Introduction, Pairing
from clutches.queries.layings import KnownFemale, known_females
from clutches.rules.facts import Mating
from clutches.rules.layings.windows import expected_laying
from clutches.rules.pairings.introductions import (
    IntroductionError,
    PairDays,
    check_introduction,
    remarks_on_introduction,
)
from clutches.rules.vocabulary import IntroductionOutcome
from core.models import User
from husbandry.actions.care_books import CareBook, Ruling
from husbandry.actions.care_records import CareResult, mark_judged_by
from husbandry.actions.staleness import mark_animal_stale, mark_animals_stale
from husbandry.models import Animal
from husbandry.queries.whereabouts import Whereabouts, whereabouts
from husbandry.rules.care_entries import TimeHere, check_instant
from husbandry.rules.vocabulary import DatePrecision

INTRODUCTION = Ruling(
    "introduction", key=("pairing_id", "at"), content=("minutes", "outcome")
)


@dataclass(frozen=True, slots=True)
class IntroductionRow:
    """One line of a list of introductions.

    Attributes:
        pairing: key of the pairing.
        at: when they were put together.
        outcome: what came of it.
        minutes: how long they were together; None: not noted.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the introduction that it replaces, which is struck out.
    """

    pairing: int
    at: datetime
    outcome: IntroductionOutcome
    minutes: int | None = None
    note: str = ""
    corrects: int | None = None


@transaction.atomic
def record_introductions(
    *, rows: Sequence[IntroductionRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of introductions; a bad line does not keep the others out.

    Reviews that judged the females from those days on are marked stale. The same list
    recorded again changes nothing. As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order. What to mind (a laying window, a
        gravid female, a fight) is a remark.
    """
    pairs = _lock_pairs(rows, recorded_at)
    book = CareBook(Introduction, INTRODUCTION, by, recorded_at)
    book.look_up(
        Q(pairing__in=list(pairs.pairings), at__in={row.at for row in rows}),
        corrects={row.corrects for row in rows if row.corrects is not None},
        along=("pairing__dam", "pairing__sire"),
    )

    def enter(row: IntroductionRow) -> None:
        record = Introduction(
            pairing=pairs.pairing(row.pairing),
            at=row.at,
            outcome=row.outcome.value,
            minutes=row.minutes,
            note=row.note,
        )
        check = partial(_checked, row, record.pairing, pairs, recorded_at)
        book.enter(record, corrects=row.corrects, check=check)

    book.enter_each(rows, enter)
    results = book.write()
    _mark(book)
    return results


@dataclass(frozen=True, slots=True)
class _Pairs:
    """The pairings of a list, where their animals were, and what is known of dams."""

    pairings: Mapping[int, Pairing]
    places: Whereabouts
    dams: Mapping[int, KnownFemale]

    def pairing(self, key: int) -> Pairing:
        """Return a pairing by its key.

        Raises:
            IntroductionError: there is none.
        """
        pairing = self.pairings.get(key)
        if pairing is None:
            raise IntroductionError(
                f"There is no pairing {key}. Give the number of one on record.",
                fields={"pairing": "the number of a pairing"},
            )
        return pairing


def _lock_pairs(rows: Sequence[IntroductionRow], at: datetime) -> _Pairs:
    """Lock the pairings of a list until the end of the transaction."""
    found = (
        Pairing.objects.select_for_update(no_key=True, of=("self",))
        .select_related("dam", "sire")
        .filter(pk__in={row.pairing for row in rows})
        .order_by("pk")
    )
    pairings = {pairing.pk: pairing for pairing in found}
    animals = {p.dam_id for p in pairings.values()}
    animals |= {p.sire_id for p in pairings.values()}
    dams = {p.dam_id for p in pairings.values()}
    return _Pairs(
        pairings,
        whereabouts(animal_ids=animals),
        known_females(dams=dams, at=at),
    )


def _checked(
    row: IntroductionRow, pairing: Pairing, pairs: _Pairs, recorded_at: datetime
) -> tuple[str, ...]:
    """Refuse an introduction that cannot be; return what to mind of one that is kept."""
    for animal in (pairing.dam, pairing.sire):
        check_instant(
            _here(animal),
            at=row.at,
            on=pairs.places.local_day(animal.pk, at=row.at),
            recorded_at=recorded_at,
        )
    on = pairs.places.local_day(pairing.dam_id, at=row.at)
    days = PairDays(str(pairing), pairing.planned_on, pairing.ended_on)
    check_introduction(days, on=on, minutes=row.minutes)
    known = pairs.dams[pairing.dam_id]
    gravid_on = known.female.gravid_since
    mating = Mating(on, pairing.sire_id, str(pairing.sire), mated=True)
    met = replace(known.female, matings=(mating,), gravid_since=None)
    expected = expected_laying(met, known.profile, on=known.on)
    over = expected is None or expected.window_until < known.on
    return remarks_on_introduction(
        row.outcome,
        dam=str(pairing.dam),
        gravid_on=gravid_on if _held(gravid_on, on) else None,
        expected=None if over else expected,
    )


def _held(gravid_on: date | None, on: date) -> bool:
    return gravid_on is not None and gravid_on <= on


def _here(animal: Animal) -> TimeHere:
    exact = animal.hatched_precision == DatePrecision.DAY
    return TimeHere(str(animal), animal.hatched_on if exact else None, animal.left_on)


def _mark(book: CareBook[Introduction]) -> None:
    """Mark stale what was judged without the new introductions, or by those replaced."""
    since_at: dict[int, datetime] = {}
    for record in (*book.added(), *book.corrected()):
        dam = record.pairing.dam_id
        since_at[dam] = min(record.at, since_at.get(dam, record.at))
    if since_at:
        mark_animals_stale(since_at=since_at, at=book.recorded_at)


@mark_judged_by.register
def _(record: Introduction, at: datetime) -> None:
    mark_animal_stale(animal=record.pairing.dam, since_at=record.at, at=at)
