"""Which tables are exported, and which of their columns: by hand, table by table.

A new field is in no list, so a test fails until somebody has decided about it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from django.db.models import Field, Model

from core.models import User
from core.roles import Permission

NOTHING: Mapping[str, str] = MappingProxyType({})
CHUNK_ROWS = 2_000
FEW = 50
"""Rows at once of tables whose rows hold whole documents."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table that is exported.

    Attributes:
        name: of its file, a plural.
        rows: what is stored.
        columns: paths to fields, in the order of the file; `animal__code` becomes the
            column `animal_code`.
        needs: who may see it at all.
        of_animal: paths from a row to the animal that it is about; none: a row is
            about no single animal.
        guarded: columns that ask for a permission more.
        left_out: fields that no export holds, with the reason.
        file: field with the name of a file that goes along, if there is one.
        file_needs: who may see that file; `needs` unless given.
        chunk_rows: rows that are read at once.
    """

    name: str
    rows: type[Model]
    columns: tuple[str, ...]
    needs: Permission
    of_animal: tuple[str, ...] = ()
    guarded: Mapping[str, Permission] = field(default_factory=dict)
    left_out: Mapping[str, str] = field(default_factory=lambda: NOTHING)
    file: str = ""
    file_needs: Permission | None = None
    chunk_rows: int = CHUNK_ROWS


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What an export does not hold, and why.

    Attributes:
        name: a table, or `table.column`.
        why: in a sentence.
    """

    name: str
    why: str


def field_at(rows: type[Model], path: str) -> Field[object, object]:
    """Return the field that a path such as `animal__code` leads to.

    Args:
        rows: where the path begins.
        path: names joined by two underscores; `animal_id` is the key itself.

    Raises:
        django.core.exceptions.FieldDoesNotExist: there is none of that name.
    """
    *steps, last = path.split("__")
    model = rows
    for step in steps:
        related = model._meta.get_field(step).related_model  # noqa: SLF001 - Django's public Meta API
        assert isinstance(related, type)  # noqa: S101 - a path leads over links
        model = related
    found = model._meta.get_field("id" if last == "pk" else last)  # noqa: SLF001 - as above
    assert isinstance(found, Field)  # noqa: S101 - not the far end of a link
    return found


def seen_columns(
    table: Table, person: User
) -> tuple[tuple[str, ...], tuple[LeftOut, ...]]:
    """Return the columns of a table that a person may see, and what is left out.

    Args:
        table: which the person may see.
        person: who asks.
    """
    hidden = {
        path: needed for path, needed in table.guarded.items() if not person.may(needed)
    }
    seen = tuple(path for path in table.columns if path not in hidden)
    out = [
        LeftOut(f"{table.name}.{path}", f"It needs the permission {needed}.")
        for path, needed in hidden.items()
    ]
    out += [
        LeftOut(f"{table.name}.{name}", why) for name, why in table.left_out.items()
    ]
    return seen, tuple(out)
