"""What becomes of a care record, and how a wrong one is struck out."""

from dataclasses import dataclass
from datetime import datetime
from functools import singledispatch
from typing import Any, cast
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.models import Room, Site, User
from husbandry.actions.staleness import mark_animal_stale, mark_stale
from husbandry.models import (
    Chore,
    Dose,
    Feeding,
    LampCheck,
    Measuring,
    Observation,
)
from husbandry.models.records import CareRecord
from husbandry.rules.care_entries import CareEntryError, check_reason
from husbandry.rules.vocabulary import RowOutcome

_BOOKKEEPING = {
    *("id", "recorded_by", "recorded_at"),
    *("struck_at", "struck_by", "struck_reason"),
}


@dataclass(frozen=True, slots=True)
class CareResult:
    """What became of one line of a list of care records.

    Attributes:
        outcome: stored, on record already, or refused.
        record: key of the entry that says so; None where it was refused. One that
            was struck out since stays so, and a remark says it.
        code: the refusal's code, or "".
        sentence: why it was refused, or "".
        remarks: what to know of it although it is kept; sentences.
        fields: what would be accepted, by the input that was refused.
    """

    outcome: RowOutcome
    record: int | None
    code: str
    sentence: str
    remarks: tuple[str, ...]
    fields: tuple[tuple[str, str], ...] = ()


@transaction.atomic
def strike_out(
    *, record: CareRecord, reason: str, by: User | None, at: datetime
) -> None:
    """Strike out a wrong entry; it stays legible and counts no more.

    Reviews that judged by it are marked stale from its local day on. To replace an
    entry by the right one in one step, record that with `corrects`.

    Args:
        record: an entry in force.
        reason: what was wrong with it, up to 200 characters.
        by: the person.
        at: now.

    Raises:
        CareEntryError: no reason, or it is struck out already.
    """
    check_reason(reason, field="reason")
    manager = type(record)._default_manager  # noqa: SLF001 - public API of Django
    found = manager.filter(pk=record.pk, struck_at__isnull=True).update(
        struck_at=at, struck_by=by, struck_reason=reason.strip()
    )
    if not found:
        record.refresh_from_db()
        raise CareEntryError(
            f"This entry was struck out already: {record.struck_reason}",
            fields={"record": "one that is not struck out"},
        )
    record.struck_at, record.struck_by, record.struck_reason = at, by, reason.strip()
    mark_judged_by(record, at)
    audit.record(
        record,
        verb="strike_out",
        by=by,
        at=at,
        before=told(record),
        after=audit.values(record, "struck_at"),
        reason=reason.strip(),
    )


def told(record: CareRecord) -> dict[str, Any]:
    """Return what an entry says, for the audit trail; not who wrote it when."""
    fields = record._meta.concrete_fields  # noqa: SLF001 - public API of Django
    found = {f.name: getattr(record, f.attname) for f in fields}
    return {name: v for name, v in found.items() if name not in _BOOKKEEPING}


def as_told(old: CareRecord, new: CareRecord) -> dict[str, Any]:
    """Return what an entry said where the one that replaces it says otherwise."""
    now = told(new)
    return {n: v for n, v in told(old).items() if n != "corrects" and v != now[n]}


def site_of_chore(chore: Chore) -> Site:
    """Return where a chore was done."""
    if chore.enclosure is not None:
        return chore.enclosure.room.site
    # The database holds that a chore has one of both.
    return cast("Room", chore.room).site


@singledispatch
def mark_judged_by(record: CareRecord, at: datetime) -> None:
    """Mark the reviews that judged by a record; every kind of record says which.

    A room above registers its own kinds here.
    """
    raise TypeError(f"{record} of {at}: no review is known to judge by such a record")


@mark_judged_by.register
def _(record: Feeding | Observation | Measuring, at: datetime) -> None:
    mark_animal_stale(animal=record.animal, since_at=record.at, at=at)


@mark_judged_by.register
def _(record: Dose, at: datetime) -> None:
    # A dose is looked for on the day it was due, which may lie before it was given.
    since_at = min(record.due_at, record.at)
    mark_animal_stale(animal=record.prescription.animal, since_at=since_at, at=at)


@mark_judged_by.register
def _(record: Chore, at: datetime) -> None:
    _mark_site(site_of_chore(record), record.at, at)


@mark_judged_by.register
def _(record: LampCheck, at: datetime) -> None:
    _mark_site(record.lamp.enclosure.room.site, record.at, at)


def _mark_site(site: Site, since_at: datetime, at: datetime) -> None:
    from_on = since_at.astimezone(ZoneInfo(site.time_zone)).date()
    mark_stale(site_ids=[site.pk], from_on=from_on, at=at)
