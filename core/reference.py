"""Keep plain reference data: rows that nothing is computed from but names."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from core import audit
from core.models import User


@transaction.atomic
def keep_reference(
    *, row: Model, changed: Sequence[str], by: User | None, at: datetime
) -> None:
    """Store a checked row of reference data, new or changed.

    Args:
        row: validated; without a key on record it is added.
        changed: the fields that differ from what is on record.
        by: who.
        at: now.
    """
    model = type(row)
    stored = model._default_manager.filter(pk=row.pk).first()  # noqa: SLF001 - public API of Django
    name = str(model._meta.verbose_name).replace(" ", "_")  # noqa: SLF001 - public API of Django
    before = audit.values(stored, *changed) if stored is not None else {}
    row.save()
    audit.record(
        row,
        verb=f"{'change' if stored is not None else 'add'}_{name}",
        by=by,
        at=at,
        before=before,
        after=audit.values(row, *changed),
    )
