"""The audit trail: every action leaves one entry, in its own transaction."""

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
    return AuditEntry.objects.create(
        at=at,
        by=by,
        verb=verb,
        subject=subject._meta.label_lower,  # noqa: SLF001 - Django's public Meta API
        subject_id=str(subject.pk),
        before=_plain(before or {}),
        after=_plain(after or {}),
        reason=reason,
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
