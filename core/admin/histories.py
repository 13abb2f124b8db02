"""What the back office shows as a row's history: its lines of the audit trail.

Django keeps a log of its own beside it. That one would hold what each row is called,
names of people among it, past their erasure, and knows nothing of what was done at
other doors; so nothing is written into it.
"""

from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator
from django.db.models import Model

from core.models import AuditEntry, User


@dataclass(frozen=True, slots=True)
class Doer:
    """Who did something, as Django's page asks for it."""

    get_username: str
    get_full_name: str


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One thing that was done to a row, as Django's page asks for it."""

    action_time: datetime
    user: Doer
    get_change_message: str


def history_of(model: type[Model], object_id: str) -> Page[HistoryLine]:
    """Return what was done to a row, the oldest first; one query.

    Args:
        model: of the row.
        object_id: its number, as the address names it.

    Returns:
        All of it on one page: who and what; values are the audit trail's own to show.
    """
    label = model._meta.label_lower  # noqa: SLF001 - public Meta API
    entries = AuditEntry.objects.filter(subject=label, subject_id=object_id)
    lines = [
        HistoryLine(entry.at, _doer(entry.by), entry.verb.replace("_", " "))
        for entry in entries.select_related("by").order_by("at", "pk")
    ]
    return Paginator(lines, max(len(lines), 1)).page(1)


def _doer(by: User | None) -> Doer:
    if by is None:
        return Doer("the program", "")
    return Doer(by.username, by.get_full_name())
