"""Record that eggs were held against a light or weighed: a whole box at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from clutches.actions.staleness import mark_eggs_stale
from clutches.models import Egg, EggCheck
from clutches.queries.eggs import Lying, lying
from clutches.queries.standings import label_of
from clutches.rules.eggs.checks import EggInTime, check_look, round_egg_mass
from clutches.rules.eggs.stages import remarks_on_candling
from clutches.rules.eggs.states import EggError
from clutches.rules.vocabulary import Candled
from core import audit
from core.models import User
from husbandry.actions.care_books import CareBook, Ruling
from husbandry.actions.care_records import CareResult, mark_judged_by, told
from husbandry.queries.profiles import profiles_on_days
from husbandry.rules.care_entries import (
    CareEntryError,
    check_not_to_come,
    check_reason,
)
from husbandry.rules.profiles.values import Profile

EGG_CHECK = Ruling("egg check", key=("egg_id", "at"), content=("seen", "mass_g"))


@dataclass(frozen=True, slots=True)
class EggCheckRow:
    """One line of a list of egg checks.

    Attributes:
        egg: the code of its clutch and its number.
        at: when it was looked at.
        seen: what was seen against the light; None: not candled.
        mass_g: to 0.001 g; None: not weighed. One of both is given.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the check that it replaces, which is struck out.
    """

    egg: tuple[str, int]
    at: datetime
    seen: Candled | None = None
    mass_g: Decimal | None = None
    note: str = ""
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class _Nest:
    """The eggs of a list, where they lie, and their profiles on its days."""

    eggs: Mapping[tuple[str, int], Egg]
    lies: Mapping[int, Lying]
    profiles: Mapping[tuple[int, date], Profile]

    def egg(self, name: tuple[str, int]) -> Egg:
        """Return an egg by its clutch and number.

        Raises:
            EggError: there is none.
        """
        egg = self.eggs.get(name)
        if egg is None:
            raise EggError(
                f"There is no egg {name[1]} of a clutch {name[0]!r}. Give the code on "
                "the clutch's label and a number of its eggs.",
                fields={"egg": "the code of a clutch and the number of an egg"},
            )
        return egg

    def label(self, egg: Egg) -> str:
        return label_of(egg, self.lies.get(egg.pk))


@transaction.atomic
def record_egg_checks(
    *, rows: Sequence[EggCheckRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of egg checks; a bad line does not keep the others out.

    Reviews that judged the eggs' boxes from those days on are marked stale. The same
    list recorded again changes nothing. As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order. No vessels while an egg rests are
        kept with a remark.
    """
    nest = _lock_nest(rows)
    book = CareBook(EggCheck, EGG_CHECK, by, recorded_at)
    book.look_up(
        Q(
            egg__in=[egg.pk for egg in nest.eggs.values()],
            at__in={row.at for row in rows},
        ),
        corrects={row.corrects for row in rows if row.corrects is not None},
        along=("egg__clutch",),
    )

    def enter(row: EggCheckRow) -> None:
        egg = nest.egg(row.egg)
        # Rounded first: what is on record is compared as it is kept.
        mass_g = round_egg_mass(row.mass_g, seen=row.seen, label=nest.label(egg))
        seen = row.seen.value if row.seen else ""
        record = EggCheck(egg=egg, at=row.at, seen=seen, mass_g=mass_g, note=row.note)
        check = partial(_check, record, nest, recorded_at)
        book.enter(record, corrects=row.corrects, check=check)

    book.enter_each(rows, enter)
    results = book.write()
    _mark([*book.added(), *book.corrected()], recorded_at)
    return results


@transaction.atomic
def strike_egg_checks(
    *, checks: Sequence[EggCheck], reason: str, by: User | None, at: datetime
) -> int:
    """Strike out many egg checks at once; they stay legible and count no more.

    As many queries for one as for many.

    Args:
        checks: those that are struck out already are passed over.
        reason: what was wrong with them, up to 200 characters.
        by: the person.
        at: now.

    Returns:
        How many were struck out.

    Raises:
        CareEntryError: no reason, or all were struck out already.
    """
    check_reason(reason, field="reason")
    rows = EggCheck.objects.select_for_update(of=("self",)).filter(
        pk__in=[check.pk for check in checks], struck_at__isnull=True
    )
    wrong = list(rows)
    if not wrong:
        raise CareEntryError(
            "These entries were struck out already.",
            fields={"checks": "ones that are not struck out"},
        )
    for check in wrong:
        check.struck_at, check.struck_by, check.struck_reason = at, by, reason.strip()
    EggCheck.objects.bulk_update(wrong, ["struck_at", "struck_by", "struck_reason"])
    _mark(wrong, at)
    audit.record_all(
        [
            audit.Deed(
                check,
                "strike_out",
                before=told(check),
                after=audit.values(check, "struck_at"),
                reason=reason.strip(),
            )
            for check in wrong
        ],
        by=by,
        at=at,
    )
    return len(wrong)


def _lock_nest(rows: Sequence[EggCheckRow]) -> _Nest:
    """Lock the eggs of a list until the end of the transaction; four queries."""
    names = {row.egg for row in rows}
    found = (
        Egg.objects.select_for_update(no_key=True, of=("self",))
        .select_related("clutch__site")
        .filter(
            clutch__code__in={code for code, _ in names},
            number__in={number for _, number in names},
        )
        .order_by("pk")
    )
    known = {(egg.clutch.code, egg.number): egg for egg in found}
    eggs = {name: known[name] for name in names if name in known}
    days = {
        (eggs[row.egg].clutch.species_id, _local_day(eggs[row.egg], row.at))
        for row in rows
        if row.egg in eggs
    }
    lies = lying(egg_ids=[egg.pk for egg in eggs.values()])
    return _Nest(eggs, lies, profiles_on_days(wanted=days))


def _check(record: EggCheck, nest: _Nest, recorded_at: datetime) -> tuple[str, ...]:
    check_not_to_come(record.at, recorded_at=recorded_at)
    egg = record.egg
    on, laid_on = _local_day(egg, record.at), egg.clutch.laid_on
    label = nest.label(egg)
    check_look(EggInTime(label, laid_on, egg.ended_on), on=on)
    return remarks_on_candling(
        Candled(record.seen) if record.seen else None,
        label=label,
        day=(on - laid_on).days,
        profile=nest.profiles.get((egg.clutch.species_id, on)),
    )


def _local_day(egg: Egg, at: datetime) -> date:
    return at.astimezone(ZoneInfo(egg.clutch.site.time_zone)).date()


def _mark(checks: Sequence[EggCheck], at: datetime) -> None:
    if checks:
        mark_eggs_stale(
            egg_ids={check.egg_id for check in checks},
            since_at=min(check.at for check in checks),
            at=at,
        )


@mark_judged_by.register
def _(record: EggCheck, at: datetime) -> None:
    mark_eggs_stale(egg_ids=[record.egg_id], since_at=record.at, at=at)
