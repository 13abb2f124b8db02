"""What goes into an export of an animal or of the organisation, for one person."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from math import ceil

from django.db.models import CharField, Model, QuerySet
from django.db.models.functions import Cast

from api.audit import GUARDED
from clutches.queries import exports as clutches
from core.exports import own_tables as core
from core.exports.archives import Contents
from core.exports.forms import Form
from core.exports.reading import Selected, all_rows, rows_about, selected
from core.exports.tables import LeftOut, Table
from core.models import AuditEntry, User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.queries import exports as husbandry
from husbandry.queries.exported_readings import (
    NAME,
    Stretch,
    readings_exported,
    stretch_of,
    stretches_of_animal,
)
from placements.queries import exports as placements

TABLES: tuple[Table, ...] = (
    *core.TABLES,
    *husbandry.TABLES,
    *clutches.TABLES,
    *placements.TABLES,
)
NOT_EXPORTED: Mapping[type[Model], str] = {
    **core.NOT_EXPORTED,
    **husbandry.NOT_EXPORTED,
    **placements.NOT_EXPORTED,
}
BEGINNING_S, END_S = 0, 2**33
"""Before any reading, and after: no door takes one of a year later than 2199."""
_TOLD_OF_PEOPLE = "placements."


def animal_contents(
    animal: Animal, *, person: User, form: Form, at: datetime
) -> Contents:
    """Return everything about an animal that a person may see.

    Args:
        animal: the animal.
        person: who asks.
        form: of the tables.
        at: now; a stay that goes on is read up to it.
    """
    about = [table for table in TABLES if table.of_animal]
    seen = [table for table in about if person.may(table.needs)]
    tables = [
        selected(table, rows=rows_about(table, animal_id=animal.pk), person=person)
        for table in seen
    ]
    out = [_not_seen(table.name, table.needs) for table in about if table not in seen]
    if person.may(Permission.SEE_CONDITIONS):
        until_s = ceil(at.timestamp())

        def stretches() -> tuple[Stretch, ...]:
            return stretches_of_animal(animal_id=animal.pk, until_s=until_s)

        tables.append(readings_exported(stretches))
    else:
        out.append(_not_seen(NAME, Permission.SEE_CONDITIONS))
    if person.may(core.AUDIT.needs):
        keys = {
            table.rows._meta.label_lower: _keys(table, animal.pk)  # noqa: SLF001 - Django's public Meta API
            for table in seen
        }
        rows = core.audit_entries(keys=keys)
        tables.append(_audit(rows, person))
        out.extend(_hidden_entries(person))
    else:
        out.append(_not_seen(core.AUDIT.name, core.AUDIT.needs))
    return Contents(f"animal {animal.code}", form, tables, out, at, person.username)


def organisation_contents(*, person: User, form: Form, at: datetime) -> Contents:
    """Return everything of the organisation that a person may see.

    Args:
        person: who asks.
        form: of the tables.
        at: now.
    """
    seen = [table for table in TABLES if person.may(table.needs)]
    tables: list[Selected] = [
        _audit(AuditEntry.objects.all(), person)
        if table is core.AUDIT
        else selected(table, rows=all_rows(table), person=person)
        for table in seen
    ]
    tables.append(
        readings_exported(lambda: (stretch_of(from_s=BEGINNING_S, until_s=END_S),))
    )
    out = [_not_seen(table.name, table.needs) for table in TABLES if table not in seen]
    out += [
        LeftOut(str(rows._meta.verbose_name_plural), why)  # noqa: SLF001 - as above
        for rows, why in NOT_EXPORTED.items()
    ]
    out.extend(_hidden_entries(person))
    return Contents("the organisation", form, tables, out, at, person.username)


def _not_seen(name: str, needed: Permission) -> LeftOut:
    return LeftOut(name, f"It needs the permission {needed}.")


def _keys(table: Table, animal_id: int) -> QuerySet[Model, str]:
    rows: QuerySet[Model] = rows_about(table, animal_id=animal_id)
    keys: QuerySet[Model, str] = rows.values_list(Cast("pk", CharField()), flat=True)
    return keys


def _audit(rows: QuerySet[AuditEntry], person: User) -> Selected:
    """Return entries but for those about records that a person may not see."""
    rows = rows.exclude(subject__in=list(_hidden(person)))
    if not person.may(Permission.SEE_HOMES):
        # What was written about a placement may name whom it is with.
        rows = rows.exclude(subject__startswith=_TOLD_OF_PEOPLE)
    return selected(core.AUDIT, rows=rows, person=person)


def _hidden(person: User) -> dict[str, Permission]:
    return {s: needed for s, needed in GUARDED.items() if not person.may(needed)}


def _hidden_entries(person: User) -> Iterator[LeftOut]:
    if not person.may(core.AUDIT.needs):
        return
    for subject, needed in _hidden(person).items():
        why = f"Entries about them need the permission {needed}."
        yield LeftOut(f"{core.AUDIT.name} of {subject}", why)
    if not person.may(Permission.SEE_HOMES):
        why = f"Entries about them need the permission {Permission.SEE_HOMES}."
        yield LeftOut(f"{core.AUDIT.name} of {_TOLD_OF_PEOPLE}*", why)
