"""Record homes: households, organisations and authorities."""

from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from placements.models import Home


@transaction.atomic
def add_home(
    *, name: str, contact: str, notes: str = "", by: User | None, at: datetime
) -> Home:
    """Record a household or organisation that animals may go to.

    Args:
        name: of the household, not empty.
        contact: address, telephone, e-mail.
        notes: anything else.
        by: the person.
        at: when.

    Raises:
        DomainError: the name is empty.
    """
    if not name.strip():
        raise DomainError("A home needs a name.", fields={"name": "Give a name."})
    home = Home.objects.create(name=name.strip(), contact=contact, notes=notes)
    # Names and addresses are personal data: they stay out of the audit trail.
    audit.record(home, verb="add_home", by=by, at=at)
    return home
