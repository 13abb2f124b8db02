"""The audit trail: every action leaves one entry, in its own transaction."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import models
from django.db.models import Model

from core.models import AuditEntry, User


def record(
    subject: Model,
    *,
    verb: str,
    by: User | None,
    at: datetime,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
    reason: str = "",
) -> AuditEntry:
    """Write who did what to a record.

    Args:
        subject: the record; it must have been saved.
        verb: the action's name, lower_snake.
        by: the person; None is the program itself (the night, the set-up).
        at: when it was done.
        before: the values that changed, as they were.
        after: the values that changed, as they are now.
        reason: why, where a person gave a reason.

    Returns:
        The entry.
    """
    deed = Deed(subject, verb, before or {}, after or {}, reason)
    entry = _entry(deed, by=by, at=at)
    entry.save()
    return entry


@dataclass(frozen=True, slots=True)
class Deed:
    """What was done to one record of many; see `record` for each part."""

    subject: Model
    verb: str
    before: dict[str, Any] = field(default_factory=dict)
    after: dict[str, Any] = field(default_factory=dict)
    reason: str = ""


def record_all(deeds: Sequence[Deed], *, by: User | None, at: datetime) -> None:
    """Write who did what to many records at once, an entry each, in their order.

    Args:
        deeds: each about a record that has been saved; none writes nothing.
        by: the person; None is the program itself.
        at: when it was done.
    """
    AuditEntry.objects.bulk_create([_entry(deed, by=by, at=at) for deed in deeds])


def _entry(deed: Deed, *, by: User | None, at: datetime) -> AuditEntry:
    return AuditEntry(
        at=at,
        by=by,
        verb=deed.verb,
        subject=deed.subject._meta.label_lower,  # noqa: SLF001 - Django's public Meta API
        subject_id=str(deed.subject.pk),
        before=_plain(deed.before),
        after=_plain(deed.after),
        reason=deed.reason,
    )


def values(record_: Model, *names: str) -> dict[str, Any]:
    """Return the named fields of a record, for `before` and `after`."""
    found = {}
    for name in names:
        value = getattr(record_, name)
        found[name] = value.pk if isinstance(value, models.Model) else value
    return found


def _plain(values_: dict[str, Any]) -> dict[str, Any]:
    """Turn values into what JSON holds: dates and decimals become text."""
    kept = (str, int, float, bool, list, dict, type(None))
    return {k: v if isinstance(v, kept) else str(v) for k, v in values_.items()}
