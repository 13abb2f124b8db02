"""Record homes: households, organisations and authorities; mend what is on record."""

from dataclasses import fields
from datetime import date, datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from placements.models import Home
from placements.rules.homes import HomeDetails, problems_of, tidied
from placements.rules.vocabulary import HomeKind, Paper, UnitSystem


class HomeError(DomainError):
    """A home cannot be recorded or altered as asked."""

    code = "home_refused"


def add_home(
    *,
    name: str,
    contact: str,
    notes: str = "",
    email: str = "",
    kind: HomeKind = HomeKind.HOUSEHOLD,
    units: UnitSystem = UnitSystem.METRIC,
    paper: Paper = Paper.A4,
    language: str = "en",
    by: User | None,
    at: datetime,
) -> Home:
    """Record a household or organisation that animals may go to or come from.

    Args:
        name: of the household, not empty.
        contact: address, telephone; may be empty.
        notes: anything else.
        email: may be empty.
        kind: what it is.
        units: in which its papers say things first.
        paper: on which they are printed.
        language: of its papers, as BCP 47 says it.
        by: the person; None: the program, at an application by the public form.
        at: when.

    Raises:
        HomeError: the name is empty, or something holds what cannot be kept.
    """
    details = HomeDetails(name, contact, email, notes, kind, units, paper, language)
    return keep_home(details=details, by=by, at=at)


@transaction.atomic
def keep_home(*, details: HomeDetails, by: User | None, at: datetime) -> Home:
    """Record a home from its details; see `add_home`.

    Raises:
        HomeError: something holds what cannot be kept.
    """
    details = _checked(details)
    values = {field.name: getattr(details, field.name) for field in fields(details)}
    home = Home.objects.create(**values, created_at=at)
    # Names and addresses are personal data: they stay out of the audit trail.
    audit.record(home, verb="add_home", by=by, at=at)
    return home


@transaction.atomic
def correct_home(
    *, home: Home, details: HomeDetails, by: User | None, at: datetime
) -> Home:
    """Put what is on record of a home right; the audit trail names fields, no values.

    Args:
        home: not erased.
        details: as they should be, all of them.
        by: the person.
        at: when.

    Raises:
        HomeError: the home was erased, or something holds what cannot be kept.
    """
    details = _checked(details)
    row = locked(home)
    changed = [
        field.name
        for field in fields(details)
        if getattr(row, field.name) != getattr(details, field.name)
    ]
    for name in changed:
        setattr(row, name, getattr(details, name))
    row.save(update_fields=changed)
    after = {"fields": changed}
    audit.record(row, verb="correct_home", by=by, at=at, after=after)
    return row


@transaction.atomic
def keep_data_until(
    *, home: Home, until: date | None, on: date, by: User | None, at: datetime
) -> Home:
    """Say until which day a home's personal data have to be kept.

    Args:
        home: not erased.
        until: last day, from `on` on; None: as long as the policy says.
        on: today, by the organisation's clock.
        by: the person.
        at: when.

    Raises:
        HomeError: the home was erased, or the day is past.
    """
    if until is not None and until < on:
        raise HomeError(
            f"{until} is past; data are kept until today or a later day. To erase them "
            "now, erase the home.",
            fields={"until": f"{on} or later"},
        )
    row = locked(home)
    before = audit.values(row, "keep_until")
    row.keep_until = until
    row.save(update_fields=["keep_until"])
    after = audit.values(row, "keep_until")
    audit.record(row, verb="keep_data_until", by=by, at=at, before=before, after=after)
    return row


def locked(home: Home) -> Home:
    """Return a home as it is now, locked until the transaction ends.

    Raises:
        HomeError: its data were erased.
    """
    row = Home.objects.select_for_update().get(pk=home.pk)
    if row.erased_at is not None:
        raise HomeError(
            f"The data of home {row.pk} were erased on {row.erased_at:%d %b %Y}; it "
            "stays as it is. Record it anew where it comes again."
        )
    return row


def _checked(details: HomeDetails) -> HomeDetails:
    details = tidied(details)
    if problems := problems_of(details):
        told = " ".join(f"{name}: {text}" for name, text in problems.items())
        raise HomeError(f"This home cannot be kept as typed. {told}", fields=problems)
    return details
