"""The sheet of a round, gathered; and the rooms in the order in which they are walked."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from core.errors import NotFoundError
from core.models import Room, Site
from husbandry.models import ReviewRun
from husbandry.queries.care import care_facts
from husbandry.queries.findings import FINISHED
from husbandry.queries.mornings import MorningFinding, findings_by_morning
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.care.due import standing_tasks, tasks_due
from husbandry.rules.care.facts import CaredRoom
from husbandry.rules.findings import room_of_key
from husbandry.rules.round_sheets import (
    RoundFinding,
    RoundPlace,
    RoundProfile,
    RoundSheet,
)
from husbandry.rules.rounds import LOOK_BACK_DAYS, build_round_sheet, walking_order
from husbandry.rules.vocabulary import FindingKind


def rooms_in_walking_order(*, site: Site) -> tuple[CaredRoom, ...]:
    """Return a site's rooms as they are walked, those of quarantine last; one query."""
    return walking_order(cared_room(room) for room in site.rooms.all())


def room_named(name: str) -> Room:
    """Return the room of a name `<site code>/<room code>`, with its site; one query.

    Raises:
        NotFoundError: there is none; the sentence says what would be accepted.
    """
    # A database may trip on U+0000; no code holds it.
    site, _, room = name.replace("\x00", "?").partition("/")
    found = (
        Room.objects.filter(site__code=site, code=room).select_related("site").first()
    )
    if found is None:
        raise NotFoundError(
            f"There is no room {name!r}. Give the code of its site and its own, as "
            "SITE/ROOM.",
            fields={"room": "codes of a site and a room, as SITE/ROOM"},
        )
    return found


def cared_room(room: Room) -> CaredRoom:
    """Return a room as the rules see it."""
    return CaredRoom(room.pk, room.code, room.name, room.position, room.quarantine)


def round_sheet(*, room: Room, on: date, at: datetime) -> RoundSheet:
    """Return the sheet of a round: one room on one local day.

    Args:
        room: with its site.
        on: the local day; a past one gives the sheet as the records of today tell
            it, whatever happened after that day.
        at: now; it is only told.

    Returns:
        The sheet, in a number of queries that does not depend on how many animals
        there are. Findings are those of the last night that was reviewed before
        the day.
    """
    site = room.site
    facts = care_facts(
        site=site, from_on=on - timedelta(days=LOOK_BACK_DAYS), until_on=on, room=room
    )
    tasks = (
        *standing_tasks(facts, on=on),
        *tasks_due(facts, from_on=facts.from_on, until_on=on, asked_on=on),
    )
    night = _last_night(site, on)
    species = {animal.species for animal in facts.animals}
    versions = profiles_in_force(species_ids=species, on=on)
    return build_round_sheet(
        facts,
        tasks,
        place=RoundPlace(
            site.code, site.name, cared_room(room), ZoneInfo(site.time_zone)
        ),
        on=on,
        made_at=at,
        findings=_findings(room, night, {animal.id for animal in facts.animals}),
        night=night,
        profiles=tuple(
            RoundProfile(version.profile.common_name, version.version)
            for _, version in sorted(versions.items())
        ),
    )


def _last_night(site: Site, on: date) -> date | None:
    nights = ReviewRun.objects.filter(site=site, on__lt=on, state__in=FINISHED)
    return nights.order_by("-on").values_list("on", flat=True).first()


def _findings(room: Room, night: date | None, animals: set[int]) -> list[RoundFinding]:
    if night is None:
        return []
    found, _ = findings_by_morning(nights={room.site_id: night})
    return [_finding(f) for f in _of_room(found, room, animals)]


def _of_room(
    found: Iterable[MorningFinding], room: Room, animals: set[int]
) -> Iterable[MorningFinding]:
    """Keep what concerns a room: its animals, its enclosures, itself or the site."""
    for finding in found:
        row = finding.row
        if row.animal_id is not None:
            here = row.animal_id in animals
        elif row.enclosure is not None:
            here = row.enclosure.room_id == room.pk
        else:
            # Not by its name: two rooms may share one, and names change.
            here = room_of_key(row.key) in (None, room.pk)
        if here:
            yield finding


def _finding(finding: MorningFinding) -> RoundFinding:
    row = finding.row
    return RoundFinding(
        id=row.pk,
        kind=FindingKind(row.kind),
        urgency=finding.urgency,
        opened_on=row.opened_on,
        evidence=finding.evidence,
        animal=row.animal_id,
        enclosure=row.enclosure_id,
    )
