"""Keep animals apart, and say from when on they are not any more.

Whether an animal may go out of quarantine is decided in the room of placements; here
it is written down.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.constraints import promised
from core.models import User
from husbandry.actions.animal_records import FURTHEST_ZONE
from husbandry.actions.staleness import mark_animals_stale
from husbandry.models import Animal, Quarantine
from husbandry.queries.quarantine import to_keep_apart
from husbandry.queries.whereabouts import Whereabouts, whereabouts
from husbandry.rules.quarantine import (
    QuarantineError,
    check_begin,
    check_end,
    check_words,
)

_BEGUN = ("animal", "began_on", "group", "reason")


@dataclass(frozen=True, slots=True)
class QuarantineRow:
    """An animal to be kept apart from a local day on.

    Attributes:
        animal: in care, not in quarantine.
        on: the first local day.
        group: a newcomer of the same group in its room restarts its clock.
        reason: why, up to 200 characters.
    """

    animal: Animal
    on: date
    group: str
    reason: str


def begin_quarantine(
    *,
    animal: Animal,
    on: date,
    group: str,
    reason: str,
    by: User | None,
    at: datetime,
) -> Quarantine:
    """Keep an animal apart from a local day on; see `begin_quarantines`."""
    row = QuarantineRow(animal, on, group, reason)
    return begin_quarantines(rows=[row], by=by, at=at)[0]


@transaction.atomic
def begin_quarantines(
    *, rows: Sequence[QuarantineRow], by: User | None, at: datetime
) -> list[Quarantine]:
    """Keep animals apart, all or none; reviews of nights since are marked stale.

    Nothing is moved: where an animal lives is a move's matter, and the night tells
    of one that lives where it should not.

    Args:
        rows: each animal once; none begins nothing. As many queries for one as for
            many.
        by: the person.
        at: now.

    Returns:
        The quarantines, in the order given.

    Raises:
        QuarantineError: an animal that has left or is in quarantine already, a group
            or reason that is blank or too long, or a day that cannot be.
    """
    keys = [row.animal.pk for row in rows]
    locked = Animal.objects.select_for_update().order_by("pk").in_bulk(keys)
    standing = to_keep_apart(animals=list(locked.values()))
    known = whereabouts(animal_ids=keys)
    for row in rows:
        check_words(group=row.group, reason=row.reason)
        today = _today(known, row.animal.pk, at)
        check_begin(standing[row.animal.pk], on=row.on, today=today)
    begun = [
        Quarantine(
            animal=locked[row.animal.pk],
            began_on=row.on,
            group=row.group.strip(),
            reason=row.reason.strip(),
            begun_by=by,
            begun_at=at,
        )
        for row in rows
    ]
    meanwhile = QuarantineError(
        "One of the animals was put into quarantine by somebody else at the same "
        "moment. Look at them again.",
        fields={"animal": "one that is not in quarantine"},
    )
    with promised(
        {
            "husbandry_quarantine_one_open": meanwhile,
            "husbandry_quarantine.animal_id": meanwhile,
        }
    ):
        # Saved one by one on databases that do not tell the keys of a bulk.
        begun = Quarantine.objects.bulk_create(begun)
    _mark_stale([(q.animal_id, q.began_on) for q in begun], known, at)
    deeds = [
        audit.Deed(
            q, "begin_quarantine", after=audit.values(q, *_BEGUN), reason=q.reason
        )
        for q in begun
    ]
    audit.record_all(deeds, by=by, at=at)
    return begun


@transaction.atomic
def end_quarantine(
    *,
    quarantine: Quarantine,
    on: date,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> Quarantine:
    """End an animal's quarantine; reviews of nights since are marked stale.

    Args:
        quarantine: an open one.
        on: the local day on which it ends; from its first day on, not to come.
        by: the person.
        at: now.
        reason: why.

    Raises:
        QuarantineError: it ended already, or the day cannot be.
    """
    known = whereabouts(animal_ids=[quarantine.animal_id])
    check_end(
        str(quarantine.animal),
        began_on=quarantine.began_on,
        on=on,
        today=_today(known, quarantine.animal_id, at),
    )
    changed = Quarantine.objects.filter(pk=quarantine.pk, ended_on__isnull=True).update(
        ended_on=on, ended_by=by, ended_at=at
    )
    quarantine.refresh_from_db()
    if not changed:
        raise QuarantineError(
            f"The quarantine of {quarantine.animal} ended on "
            f"{quarantine.ended_on:%d %b %Y} already.",
            fields={"quarantine": "one that is open"},
        )
    _mark_stale([(quarantine.animal_id, on)], known, at)
    audit.record(
        quarantine,
        verb="end_quarantine",
        by=by,
        at=at,
        before={"ended_on": None},
        after={"animal": quarantine.animal_id, "ended_on": on},
        reason=reason,
    )
    return quarantine


def end_with_care(*, animal: Animal, on: date, by: User | None, at: datetime) -> None:
    """End the quarantine of an animal that left or died, if it was in one.

    Args:
        animal: that left.
        on: the local day; a quarantine that began later held on no day.
        by: the person.
        at: now.

    Raises:
        QuarantineError: the day is to come.
    """
    held = Quarantine.objects.filter(animal=animal, ended_on__isnull=True).first()
    if held is not None:
        end_quarantine(
            quarantine=held,
            on=max(on, held.began_on),
            by=by,
            at=at,
            reason="left care",
        )


def _today(known: Whereabouts, animal: int, at: datetime) -> date:
    """Return the local day where an animal is; anywhere on earth if nowhere yet."""
    if animal in known.zones:
        return known.local_day(animal, at=at)
    return (at + FURTHEST_ZONE).astimezone(UTC).date()


def _mark_stale(
    changed: Sequence[tuple[int, date]], known: Whereabouts, at: datetime
) -> None:
    """Mark the nights of past days; tonight is judged by what holds then."""
    since_at = {
        animal: datetime.combine(on, time.min, _zone(known, animal))
        for animal, on in changed
        if on < _today(known, animal, at)
    }
    if since_at:
        mark_animals_stale(since_at=since_at, at=at)


def _zone(known: Whereabouts, animal: int) -> ZoneInfo:
    zones = known.zones.get(animal, ())
    return ZoneInfo(zones[-1][1] if zones else "UTC")
