"""What a body names by a code or a number: the row, or a refusal that says so."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from api.errors import RefusedError
from clutches.models import Clutch
from core.errors import NotFoundError
from core.models import Room, Site
from husbandry.models import Enclosure, Species
from husbandry.queries.rounds import room_named as room_called
from placements.models import Home

# No key is larger; a database may trip on a number that is.
MOST = 2**63 - 1


def species_named(code: str) -> Species:
    """Return the species of a code; one query.

    Raises:
        RefusedError: there is none.
    """
    found = Species.objects.filter(code=code).first()
    if found is None:
        raise RefusedError(
            "unknown_species",
            f"There is no species {code!r}; GET species/ lists them.",
            fields={"species": "the code of a species"},
        )
    return found


def site_named(code: str) -> Site:
    """Return the site of a code; one query, or two where there is none.

    Raises:
        RefusedError: there is none.
    """
    site = Site.objects.filter(code=code).first()
    if site is None:
        known = ", ".join(Site.objects.order_by("code").values_list("code", flat=True))
        raise RefusedError(
            "unknown_site",
            f"There is no site {code!r}. There are: {known or 'none'}.",
            fields={"site": f"one of {known}"},
        )
    return site


def room_named(name: str) -> Room:
    """Return the room that `site/room` names.

    Raises:
        RefusedError: there is none; the sentence says which there are.
    """
    try:
        return room_called(name)
    except NotFoundError as error:
        raise RefusedError(
            "unknown_room", error.sentence, fields=error.fields
        ) from error


def enclosure_named(code: str, *, field: str = "enclosure") -> Enclosure:
    """Return the enclosure of a code, with its room and site; one query.

    Args:
        code: as on its label.
        field: where it was given, for the refusal.

    Raises:
        RefusedError: there is none.
    """
    rows = Enclosure.objects.select_related("room__site")
    enclosure = rows.filter(code=code).first()
    if enclosure is None:
        raise RefusedError(
            "unknown_enclosure",
            f"There is no enclosure {code!r}. Give the code on its label.",
            fields={field: "the code of an enclosure"},
        )
    return enclosure


def day_there(enclosure: Enclosure, at: datetime) -> date:
    """Return which local day it is where an enclosure stands.

    Args:
        enclosure: with its room and site.
        at: now.
    """
    return at.astimezone(ZoneInfo(enclosure.room.site.time_zone)).date()


def clutch_named(code: str | None) -> Clutch | None:
    """Return the clutch of a code; None stays None; one query.

    Raises:
        RefusedError: there is none.
    """
    if code is None:
        return None
    clutch = Clutch.objects.filter(code=code).first()
    if clutch is None:
        raise RefusedError(
            "unknown_clutch",
            f"There is no clutch {code!r}. Give the code on its label.",
            fields={"clutch": "code of a clutch, as on its label"},
        )
    return clutch


def home_numbered(number: int) -> Home:
    """Return the home of a number; one query.

    Raises:
        RefusedError: there is none.
    """
    found = None
    if 0 < number <= MOST:
        found = Home.objects.filter(pk=number).first()
    if found is None:
        raise RefusedError(
            "unknown_home",
            f"There is no home {number}; GET homes/ lists them.",
            fields={"home": "the number of a home"},
        )
    return found
