"""What is there where eggs are to be put."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Q

from clutches.models import Egg, EggBox, EggPlace
from clutches.queries.eggs import Lying, egg_name
from clutches.rules.boxes.places import Place, parse_places
from clutches.rules.eggs.placing import BoxToFill, EggToPlace
from clutches.rules.vocabulary import EggState


def eggs_to_place(
    *, eggs: Sequence[Egg], lies: Mapping[int, Lying], placed_at: datetime
) -> tuple[EggToPlace, ...]:
    """Return eggs as they are put somewhere; no query.

    Args:
        eggs: with their clutches and sites.
        lies: where they lie.
        placed_at: when they are put there.
    """
    found = []
    for egg in eggs:
        spot = lies.get(egg.pk, Lying())
        zone = ZoneInfo(egg.clutch.site.time_zone)
        found.append(
            EggToPlace(
                label=egg_name(egg),
                state=EggState(egg.state),
                laid_on=egg.clutch.laid_on,
                placed_on=placed_at.astimezone(zone).date(),
                lies_at=spot.at,
                since_at=spot.since_at,
                last_until_at=spot.last_until_at,
            )
        )
    return tuple(found)


def box_to_fill(
    *, box: EggBox, besides: Collection[int], from_at: datetime
) -> BoxToFill:
    """Return a box with the other eggs that lie in it from an instant on; one query.

    Args:
        box: into which eggs are put.
        besides: keys of those eggs themselves, whose places become free.
        from_at: when they are put there; an egg that left later was still there.
    """
    still = Q(until_at__isnull=True) | Q(until_at__gt=from_at)
    rows = EggPlace.objects.filter(still, box=box).select_related("egg__clutch")
    taken = {
        Place(row.row, row.column): egg_name(row.egg)
        for row in rows
        if row.egg_id not in besides or row.until_at is not None
    }
    return BoxToFill(
        code=box.code,
        rows=box.rows,
        columns=box.columns,
        made_on=box.made_on,
        retired_on=box.retired_on,
        taken=taken,
    )


def wanted_places(
    box: BoxToFill, places: Sequence[str] | None
) -> tuple[Place, ...] | None:
    """Return the places that somebody names, in that order; None: the free ones.

    Raises:
        PlacesError: the box does not have one of them.
    """
    if places is None:
        return None
    return parse_places(", ".join(places), rows=box.rows, columns=box.columns)
