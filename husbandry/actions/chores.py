"""Record what was done for enclosures and rooms."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from core.models import Room, Site, User
from husbandry.actions.care_books import CareBook, Ruling
from husbandry.actions.care_records import CareResult, site_of_chore
from husbandry.actions.staleness import mark_sites_stale
from husbandry.models import Chore, Enclosure, Species
from husbandry.queries.profiles import profiles_on_days
from husbandry.rules.care_entries import check_not_to_come
from husbandry.rules.chores import (
    ChoreError,
    check_feeder,
    check_in_use,
    check_place,
)
from husbandry.rules.vocabulary import ChoreKind

CHORE = Ruling(
    "chore", key=("enclosure_id", "room_id", "kind", "feeder", "at"), content=()
)


@dataclass(frozen=True, slots=True)
class ChoreRow:
    """One line of a list of chores.

    Attributes:
        kind: what was done.
        at: when.
        enclosure: code of what was cleaned or misted.
        room: codes of the site and the room whose insects were fed.
        feeder: which insects: id of a feeder row; gut-loading only.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the chore that it replaces, which is struck out.
    """

    kind: ChoreKind
    at: datetime
    enclosure: str = ""
    room: tuple[str, str] | None = None
    feeder: str = ""
    note: str = ""
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class _Places:
    enclosures: Mapping[str, Enclosure]
    rooms: Mapping[tuple[str, str], Room]
    feeders: Mapping[date, Sequence[str]]
    """Which feeders the profiles in force on a day know."""

    def of(self, row: ChoreRow) -> tuple[Enclosure | None, Room | None]:
        """Return where a line says that something was done.

        Raises:
            ChoreError: there is no such place.
        """
        if row.room is None:
            enclosure = self.enclosures.get(row.enclosure)
            if enclosure is None:
                raise ChoreError(
                    f"There is no enclosure {row.enclosure!r}. Give the code on its "
                    "label.",
                    fields={"enclosure": "the code of an enclosure"},
                )
            return enclosure, None
        room = self.rooms.get(row.room)
        if room is None:
            raise ChoreError(
                f"Site {row.room[0]!r} has no room {row.room[1]!r}. Give the codes of "
                "a site and of one of its rooms.",
                fields={"room": "the codes of a site and a room"},
            )
        return None, room


@transaction.atomic
def record_chores(
    *, rows: Sequence[ChoreRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of chores; a bad line does not keep the others out.

    Reviews of their sites from those days on are marked stale. The same list
    recorded again changes nothing. As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order.
    """
    places = _lock_places(rows)
    book = CareBook(Chore, CHORE, by, recorded_at)
    where = Q(enclosure__in=[e.pk for e in places.enclosures.values()])
    where |= Q(room__in=[r.pk for r in places.rooms.values()])
    book.look_up(
        where & Q(at__in={row.at for row in rows}),
        corrects={row.corrects for row in rows if row.corrects is not None},
        along=("enclosure__room__site", "room__site"),
    )

    def enter(row: ChoreRow) -> None:
        check_place(row.kind, enclosure=row.enclosure, room=row.room, feeder=row.feeder)
        enclosure, room = places.of(row)
        record = Chore(
            kind=row.kind.value,
            at=row.at,
            enclosure=enclosure,
            room=room,
            feeder=row.feeder,
            note=row.note,
        )
        check = partial(_check, record, places, recorded_at)
        book.enter(record, corrects=row.corrects, check=check)

    book.enter_each(rows, enter)
    results = book.write()
    _mark(book)
    return results


def _check(record: Chore, places: _Places, recorded_at: datetime) -> tuple[str, ...]:
    check_not_to_come(record.at, recorded_at=recorded_at)
    on = _local_day(site_of_chore(record), record.at)
    if record.enclosure is not None:
        retired_on = record.enclosure.retired_on
        check_in_use(record.enclosure.code, retired_on=retired_on, on=on)
    else:
        check_feeder(record.feeder, known=places.feeders[on])
    return ()


def _lock_places(rows: Sequence[ChoreRow]) -> _Places:
    """Lock the places of a list until the end of the transaction."""
    codes = {row.enclosure for row in rows if row.enclosure}
    pairs = {row.room for row in rows if row.room is not None}
    enclosures = (
        Enclosure.objects.select_for_update(no_key=True, of=("self",))
        .select_related("room__site")
        .filter(code__in=codes)
        .order_by("pk")
    )
    rooms = (
        Room.objects.select_for_update(no_key=True, of=("self",))
        .select_related("site")
        .filter(site__code__in={s for s, _ in pairs}, code__in={c for _, c in pairs})
        .order_by("pk")
    )
    found = {(room.site.code, room.code): room for room in rooms}
    days = {
        _local_day(found[row.room].site, row.at)
        for row in rows
        if row.room is not None and row.room in found
    }
    return _Places(
        {enclosure.code: enclosure for enclosure in enclosures},
        {pair: room for pair, room in found.items() if pair in pairs},
        _feeders(days),
    )


def _feeders(days: set[date]) -> dict[date, list[str]]:
    """Return the ids of every profile's feeders on days; three queries at most."""
    if not days:
        return {}
    species = list(Species.objects.order_by("code").values_list("pk", flat=True))
    profiles = profiles_on_days(wanted={(pk, on) for pk in species for on in days})
    known: dict[date, list[str]] = {on: [] for on in days}
    for pk in species:
        for on in days:
            profile = profiles.get((pk, on))
            ids = [row.id for row in profile.feeders] if profile else []
            known[on] += [name for name in ids if name not in known[on]]
    return known


def _local_day(site: Site, at: datetime) -> date:
    return at.astimezone(ZoneInfo(site.time_zone)).date()


def _mark(book: CareBook[Chore]) -> None:
    """Mark stale what was judged without the new chores, or by those replaced."""
    from_on: dict[int, date] = {}
    for chore in (*book.added(), *book.corrected()):
        site = site_of_chore(chore)
        on = _local_day(site, chore.at)
        from_on[site.pk] = min(on, from_on.get(site.pk, on))
    if from_on:
        mark_sites_stale(from_on=from_on, at=book.recorded_at)
