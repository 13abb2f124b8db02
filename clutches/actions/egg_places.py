"""Where eggs lie on record: spells in places, begun and ended."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from clutches.actions.staleness import mark_eggs_stale
from clutches.models import Egg, EggBox, EggPlace
from clutches.queries.eggs import Lying, lying
from clutches.queries.placing import box_to_fill, eggs_to_place, wanted_places
from clutches.rules.boxes.places import Place
from clutches.rules.eggs.placing import (
    PlacingError,
    assign_places,
    check_eggs_to_place,
)
from core import audit
from core.constraints import promised
from core.models import User
from core.zones import day_bounds

# A spell in a place lasts; one that was recorded too late ends as soon as it began.
SHORTEST = timedelta(seconds=1)
_NOWHERE = Lying()


def put_eggs(
    eggs: Sequence[Egg],
    box: EggBox | None,
    places: Sequence[str] | None,
    from_at: datetime,
    *,
    moving: bool,
    by: User | None,
    at: datetime,
    reason: str,
) -> list[EggPlace]:
    """Put eggs somewhere; see `clutches.actions.eggs`, which calls it."""
    if not eggs:
        return []
    if box is not None:
        box = EggBox.objects.select_for_update().get(pk=box.pk)
    rows = locked_eggs(eggs)
    lies = lying(egg_ids=[egg.pk for egg in rows])
    to_place = eggs_to_place(eggs=rows, lies=lies, placed_at=from_at)
    fill = box_to_fill(box=box, besides=lies, from_at=from_at) if box else None
    check_eggs_to_place(to_place, box=fill, placed_at=from_at, at=at, moving=moving)
    found: tuple[Place, ...] = ()
    if fill is not None:
        found = assign_places(to_place, fill, wanted_places(fill, places))
    put = _write_places(rows, lies, box, found, from_at)
    mark_eggs_stale(egg_ids=[egg.pk for egg in rows], since_at=from_at, at=at)
    _audit_places(rows, lies, put, from_at, by=by, at=at, reason=reason)
    return put


def _write_places(
    eggs: Sequence[Egg],
    lies: Mapping[int, Lying],
    box: EggBox | None,
    places: Sequence[Place],
    from_at: datetime,
) -> list[EggPlace]:
    taken = PlacingError(
        "Somebody else put an egg there, or moved one of these, at the same moment. "
        "Look how the box stands now, then do it again.",
        fields={"places": "as the box stands now"},
    )
    with promised(
        {
            "clutches_eggplace_not_shared": taken,
            "clutches_eggplace_one_open": taken,
            "clutches_eggplace.": taken,
        }
    ):
        open_spells = [one.place for one in lies.values() if one.place is not None]
        EggPlace.objects.filter(pk__in=open_spells, until_at__isnull=True).update(
            until_at=from_at
        )
        if box is None:
            return []
        return EggPlace.objects.bulk_create(
            EggPlace(
                egg=egg, box=box, row=place.row, column=place.column, from_at=from_at
            )
            for egg, place in zip(eggs, places, strict=True)
        )


def _audit_places(
    eggs: Sequence[Egg],
    lies: Mapping[int, Lying],
    put: Sequence[EggPlace],
    from_at: datetime,
    *,
    by: User | None,
    at: datetime,
    reason: str,
) -> None:
    now = {
        row.egg_id: f"{Place(row.row, row.column).label} of {row.box.code}"
        for row in put
    }
    audit.record_all(
        [
            audit.Deed(
                egg,
                "move_egg" if lies.get(egg.pk, _NOWHERE).at else "place_egg",
                before={"place": lies.get(egg.pk, _NOWHERE).at or None},
                after={"place": now.get(egg.pk), "from_at": from_at.isoformat()},
                reason=reason,
            )
            for egg in eggs
        ],
        by=by,
        at=at,
    )


def end_places(eggs: Sequence[Egg], lies: Mapping[int, Lying], *, at: datetime) -> None:
    """End the places of eggs that ended, with the day on which they did; one update.

    Args:
        eggs: hatched or failed.
        lies: where they lay.
        at: now: an egg that ended today lies there until now.
    """
    ended = []
    for egg in eggs:
        spot = lies.get(egg.pk, _NOWHERE)
        if spot.place is None or spot.since_at is None or egg.ended_on is None:
            continue
        zone = ZoneInfo(egg.clutch.site.time_zone)
        _, end_s = day_bounds(egg.ended_on, zone=zone)
        until_at = min(at, datetime.fromtimestamp(end_s, UTC))
        row = EggPlace(pk=spot.place, until_at=max(until_at, spot.since_at + SHORTEST))
        ended.append(row)
    EggPlace.objects.bulk_update(ended, ["until_at"])


def locked_eggs(eggs: Sequence[Egg]) -> list[Egg]:
    """Return eggs, locked until the end of the transaction, in the order given."""
    rows = Egg.objects.select_for_update(of=("self",)).select_related("clutch__site")
    found = {egg.pk: egg for egg in rows.filter(pk__in=[e.pk for e in eggs])}
    return [found[egg.pk] for egg in eggs]
