"""Say anew what sites and rooms are called, and how rooms are walked."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, TypedDict, TypeVar, Unpack

from django.db import transaction

from core.actions import check_fields
from core.models import Room, Site, User
from core.reference import keep_reference

P = TypeVar("P", Site, Room)


class RoomChanges(TypedDict, total=False):
    """What of a room can change; which site it is of, and its code, are kept."""

    name: str
    position: int
    quarantine: bool


@transaction.atomic
def change_site(*, site: Site, name: str, by: User | None, at: datetime) -> Site:
    """Call a site something else; its nights were cut by its clock, which stays.

    Args:
        site: which.
        name: as people say it; the same again changes nothing.
        by: the person.
        at: now.

    Raises:
        PlaceError: the name is blank or too long.
    """
    row = Site.objects.select_for_update(no_key=True).get(pk=site.pk)
    return _changed(row, {"name": name.strip()}, by=by, at=at)


@transaction.atomic
def change_room(
    *, room: Room, by: User | None, at: datetime, **changes: Unpack[RoomChanges]
) -> Room:
    """Change what a room is called, when it is walked, or that it is for quarantine.

    Args:
        room: which.
        by: the person.
        at: now.
        changes: new values by field; the same again changes nothing.

    Raises:
        PlaceError: the name is blank or too long.
    """
    row = Room.objects.select_for_update(no_key=True).get(pk=room.pk)
    new: dict[str, Any] = {**changes}
    if "name" in changes:
        new["name"] = changes["name"].strip()
    return _changed(row, new, by=by, at=at)


def _changed(row: P, wanted: Mapping[str, Any], *, by: User | None, at: datetime) -> P:
    new = {name: value for name, value in wanted.items() if getattr(row, name) != value}
    for name, value in new.items():
        setattr(row, name, value)
    check_fields(row)
    if new:
        keep_reference(row=row, changed=sorted(new), by=by, at=at)
    return row
