"""Change who may do what: a person's role, standing and password."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from core import audit
from core.actions import PersonError
from core.models import User
from core.roles import Role

CHANGEABLE = frozenset(
    {
        *("first_name", "last_name", "email", "role", "is_active"),
        *("temperature_unit", "mass_unit"),
    }
)


@transaction.atomic
def change_person(
    *, person: User, changes: Mapping[str, Any], by: User | None, at: datetime
) -> User:
    """Change what is on record of a person who signs in.

    Args:
        person: whom.
        changes: new values by field: names, e-mail, role, units, whether active.
        by: who changes it.
        at: now.

    Returns:
        The person, as stored.

    Raises:
        PersonError: a field cannot be changed so, or nobody would be left who may
            manage people.
    """
    unknown = set(changes) - CHANGEABLE
    if unknown:
        raise PersonError(
            f"{', '.join(sorted(unknown))} cannot be changed here; what can: "
            f"{', '.join(sorted(CHANGEABLE))}."
        )
    row = User.objects.select_for_update().get(pk=person.pk)
    before = audit.values(row, *sorted(changes))
    for name, value in changes.items():
        setattr(row, name, value)
    _check(row, changes)
    row.save(update_fields=sorted(changes))
    after = audit.values(row, *sorted(changes))
    audit.record(row, verb="change_person", by=by, at=at, before=before, after=after)
    return row


def _check(row: User, changes: Mapping[str, Any]) -> None:
    try:
        row.clean_fields(exclude=CHANGEABLE - set(changes) | {"password", "username"})
    except ValidationError as error:
        problems = {name: " ".join(m) for name, m in error.message_dict.items()}
        told = " ".join(f"{name}: {text}" for name, text in problems.items())
        raise PersonError(told, fields=problems) from error
    owners = User.objects.filter(role=Role.OWNER.value, is_active=True)
    manages = row.role == Role.OWNER.value and row.is_active
    was_owner = owners.filter(pk=row.pk).exists()
    if was_owner and not manages and not owners.exclude(pk=row.pk).exists():
        raise PersonError(
            f"{row} is the only active owner, and only owners manage people. Make "
            "somebody else an owner first.",
            fields={"role": "owner, while there is no other"},
        )


@transaction.atomic
def set_password(*, person: User, password: str, by: User | None, at: datetime) -> None:
    """Give a person a new password; all sessions of theirs end.

    Args:
        person: whose.
        password: held to the rules of the settings; only its hash is kept, and it
            is in no audit entry.
        by: who sets it.
        at: now.

    Raises:
        PersonError: the password is too weak; the sentence says what is missing.
    """
    try:
        validate_password(password, person)
    except ValidationError as error:
        told = " ".join(error.messages)
        raise PersonError(
            f"This password cannot be used: {told}", fields={"password": told}
        ) from error
    person.set_password(password)
    person.save(update_fields=["password"])
    audit.record(person, verb="set_password", by=by, at=at)
