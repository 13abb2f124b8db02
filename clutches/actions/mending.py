"""Mend what is on record of eggs where it was wrong; audited with the reason."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.actions.egg_places import SHORTEST, end_places
from clutches.actions.staleness import mark_eggs_stale
from clutches.models import Egg, EggPlace, Hatchling
from clutches.queries.eggs import Lying, lying
from clutches.queries.standings import label_of, standings
from clutches.rules.boxes.places import Place
from clutches.rules.eggs.mending import Mended, check_mend
from clutches.rules.eggs.states import ENDED, EggError
from clutches.rules.vocabulary import FailureCause
from core import audit
from core.models import User
from core.zones import day_bounds
from husbandry.rules.care_entries import check_reason

FIELDS = ("state", "pipped_on", "ended_on", "cause")
_Spot = tuple[int, int, int]
"""A box's key, a row and a column."""


@dataclass(frozen=True, slots=True)
class EggMend:
    """How one egg ought to stand on record."""

    egg: Egg
    mended: Mended


@dataclass(frozen=True, slots=True)
class MendResult:
    """The eggs as they stand now, and what to know of them.

    Attributes:
        remarks: of eggs that came back and whose places are taken or gone; sentences.
    """

    eggs: tuple[Egg, ...]
    remarks: tuple[str, ...]


def mend_egg(
    *, egg: Egg, mended: Mended, reason: str, by: User | None, at: datetime
) -> MendResult:
    """Mend what is on record of one egg; see `mend_eggs`."""
    return mend_eggs(mends=[EggMend(egg, mended)], reason=reason, by=by, at=at)


@transaction.atomic
def mend_eggs(
    *, mends: Sequence[EggMend], reason: str, by: User | None, at: datetime
) -> MendResult:
    """Mend what is on record of eggs; all of them or none.

    An egg that had not ended after all lies again where it lay, unless another lies
    there by now or the box was retired: then it lies nowhere, and a remark says so.
    Reviews since the day that was wrong are marked stale. As many queries for one as
    for many.

    Args:
        mends: each about another egg.
        reason: what was wrong, up to 200 characters.
        by: the person.
        at: now.

    Returns:
        The eggs in the order given, and remarks.

    Raises:
        CareEntryError: no reason.
        EggError: a sentence a line, each with the egg it is about.
    """
    check_reason(reason, field="reason")
    if not mends:
        return MendResult((), ())
    keys = [one.egg.pk for one in mends]
    locked = Egg.objects.select_for_update(of=("self",)).select_related("clutch__site")
    rows = {egg.pk: egg for egg in locked.filter(pk__in=keys)}
    eggs = [rows[pk] for pk in keys]
    lies = lying(egg_ids=keys)
    _check(eggs, mends, lies, at)
    since_on = min(on for on in _days(eggs, mends) if on is not None)
    remarks = _mend_places(eggs, mends, lies, at)
    deeds = []
    for egg, one in zip(eggs, mends, strict=True):
        before = audit.values(egg, *FIELDS)
        _mend(egg, one.mended)
        after = audit.values(egg, *FIELDS)
        deeds.append(audit.Deed(egg, "mend_egg", before, after, reason.strip()))
    Egg.objects.bulk_update(eggs, FIELDS)
    end_places([egg for egg in eggs if egg.state in ENDED], lies, at=at)
    zone = ZoneInfo(eggs[0].clutch.site.time_zone)
    since_at = datetime.fromtimestamp(day_bounds(since_on, zone=zone)[0], UTC)
    mark_eggs_stale(egg_ids=keys, since_at=since_at, at=at)
    audit.record_all(deeds, by=by, at=at)
    return MendResult(tuple(eggs), remarks)


def _check(
    eggs: Sequence[Egg],
    mends: Sequence[EggMend],
    lies: Mapping[int, Lying],
    at: datetime,
) -> None:
    if len(set(eggs)) < len(eggs):
        raise EggError(
            "An egg is given more than once; give each once.",
            fields={"eggs": "each once"},
        )
    zone = ZoneInfo(eggs[0].clutch.site.time_zone)
    today = at.astimezone(zone).date()
    found = standings(eggs=eggs, lies=lies, on=today)
    hatchlings = Hatchling.objects.filter(egg__in=eggs).select_related("animal")
    animals = {h.egg_id: str(h.animal) for h in hatchlings}
    wrong: list[str] = []
    fields: dict[str, str] = {}
    for egg, standing, one in zip(eggs, found, mends, strict=True):
        try:
            check_mend(
                standing,
                one.mended,
                cause=FailureCause(egg.cause) if egg.cause else None,
                animal=animals.get(egg.pk, ""),
                today=today,
            )
        except EggError as refusal:
            wrong.append(refusal.sentence)
            fields |= refusal.fields
    if wrong:
        raise EggError("\n".join(wrong), fields=fields)


def _days(eggs: Sequence[Egg], mends: Sequence[EggMend]) -> list[date | None]:
    """Return the days that were wrong, and those that are said instead."""
    return [
        *(on for egg in eggs for on in (egg.pipped_on, egg.ended_on)),
        *(on for one in mends for on in (one.mended.pipped_on, one.mended.ended_on)),
    ]


def _mend(egg: Egg, mended: Mended) -> None:
    egg.state = mended.state.value
    egg.pipped_on, egg.ended_on = mended.pipped_on, mended.ended_on
    egg.cause = mended.cause.value if mended.cause else ""


def _mend_places(
    eggs: Sequence[Egg],
    mends: Sequence[EggMend],
    lies: Mapping[int, Lying],
    at: datetime,
) -> tuple[str, ...]:
    """Mend until when eggs lay where they lay until they were said to have ended."""
    rows = EggPlace.objects.filter(egg__in=eggs).select_related("box")
    last = {row.egg_id: row for row in rows.order_by("egg", "from_at")}
    spells = EggPlace.objects.filter(box__in={row.box_id for row in last.values()})
    others: dict[_Spot, list[EggPlace]] = {}
    for one_spell in spells.order_by("from_at"):
        spot = (one_spell.box_id, one_spell.row, one_spell.column)
        others.setdefault(spot, []).append(one_spell)
    changed, remarks = [], []
    for egg, one in zip(eggs, mends, strict=True):
        row = last.get(egg.pk)
        if row is None or not _left_by_ending(egg, row):
            continue
        there = others[row.box_id, row.row, row.column]
        after = [other for other in there if other.from_at > row.from_at]
        if one.mended.ended_on is not None:
            row.until_at = _end(egg, one.mended.ended_on, row, after, at)
        elif after or row.box.retired_on is not None:
            label = label_of(egg, lies.get(egg.pk))
            remarks.append(f"{_why_not(row)}, so {label} lies nowhere. Place it.")
            continue
        else:
            row.until_at = None
        changed.append(row)
    EggPlace.objects.bulk_update(changed, ["until_at"])
    return tuple(remarks)


def _why_not(row: EggPlace) -> str:
    """Say why an egg cannot lie again where it lay."""
    if row.box.retired_on is not None:
        return f"Box {row.box.code} was retired on {row.box.retired_on:%d %b %Y}"
    place = Place(row.row, row.column).label
    return f"At {place} of box {row.box.code} another egg was put since"


def _end(
    egg: Egg, ended_on: date, row: EggPlace, after: Sequence[EggPlace], at: datetime
) -> datetime:
    """Return until when an egg lay at a place if it ended on another day."""
    zone = ZoneInfo(egg.clutch.site.time_zone)
    _, end_s = day_bounds(ended_on, zone=zone)
    until_at = min(at, datetime.fromtimestamp(end_s, UTC))
    if after:
        until_at = min(until_at, after[0].from_at)
    return max(until_at, row.from_at + SHORTEST)


def _left_by_ending(egg: Egg, row: EggPlace) -> bool:
    """Say whether an egg left its last place because it was said to have ended."""
    if row.until_at is None or egg.ended_on is None:
        return False
    zone = ZoneInfo(egg.clutch.site.time_zone)
    begun_s, _ = day_bounds(egg.ended_on, zone=zone)
    return row.until_at >= datetime.fromtimestamp(begun_s, UTC)
