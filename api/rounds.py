"""Rounds: one room on one day, in walking order, as data."""

from datetime import date
from typing import Annotated
from zoneinfo import ZoneInfo

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.round_sheets import RoundOut, ShownRound
from api.structs import Asked
from api.views import Door
from core.errors import NotFoundError
from core.models import Room
from core.roles import Permission
from husbandry.queries.rounds import room_named, round_sheet

LONGEST_ID = 18


class RoundAsked(Asked, frozen=True):
    """Which room, and which day."""

    room: Annotated[
        str | None,
        Meta(
            description="Codes of the site and the room, as `site/room`, or the room's "
            "number; needed."
        ),
    ] = None
    on: Annotated[
        date | None,
        Meta(description="The local day; today where the room is unless given."),
    ] = None


class Rounds(Door):
    """A room's day."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    asks = {"retrieve": RoundAsked}
    gives = {"retrieve": RoundOut}

    def retrieve(self, request: Request) -> Response:
        """Show what a walk through one room on one day needs.

        Stops are in walking order, each with its tasks, its animals, what was left
        open, what is wrong and what to mind. A past day is answered from what is on
        record today.
        """
        asked = self.asked
        assert isinstance(asked, RoundAsked)  # noqa: S101 - see `asks`
        room, at = _room(asked.room), timezone.now()
        on = asked.on or at.astimezone(ZoneInfo(room.site.time_zone)).date()
        sheet = round_sheet(room=room, on=on, at=at)
        return Response(ShownRound(sheet, self.person).whole())


def _room(name: str | None) -> Room:
    accepted = "site/room, by their codes, or the room's number"
    if name is None:
        raise RefusedError(
            "no_room", "Say which room: room=site/room.", fields={"room": accepted}
        )
    if name.isascii() and name.isdecimal() and len(name) <= LONGEST_ID:
        found = Room.objects.select_related("site").filter(pk=int(name)).first()
        if found is not None:
            return found
    try:
        return room_named(name)
    except NotFoundError as error:
        raise RefusedError(
            "unknown_room", f"There is no room {name!r}.", fields={"room": accepted}
        ) from error
