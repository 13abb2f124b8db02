"""One box as people see it from above: which egg lies at which place, and how it is."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from clutches.models import Egg, EggBox, EggCheck, EggPlace
from clutches.rules.boxes.places import Place, all_places, parse_places
from clutches.rules.eggs.placing import PlacingError
from clutches.rules.vocabulary import Candled, EggState


@dataclass(frozen=True, slots=True)
class LastLook:
    """What was last seen of an egg and what it last weighed, with the local days."""

    seen: Candled | None = None
    seen_on: date | None = None
    mass_g: Decimal | None = None
    weighed_on: date | None = None


@dataclass(frozen=True, slots=True)
class Nested:
    """An egg in the grid.

    Attributes:
        id: its key.
        day: days since laying.
    """

    id: int
    clutch: str
    number: int
    state: EggState
    day: int
    look: LastLook


@dataclass(frozen=True, slots=True)
class Cell:
    """One place of a box, with the egg that lies there; None: it is free."""

    place: Place
    egg: Nested | None


@dataclass(frozen=True, slots=True)
class Grid:
    """A box with all its places, row after row from the back."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    eggs: int
    clutches: tuple[str, ...]


def box_grid(*, box: EggBox, at: datetime) -> Grid:
    """Return a box as it is now; two queries, however many eggs lie in it.

    Args:
        box: any.
        at: now, from which the days since laying are counted.
    """
    places = EggPlace.objects.filter(box=box, until_at__isnull=True)
    found = {
        Place(row.row, row.column): row.egg
        for row in places.select_related("egg__clutch__site")
    }
    zones = {egg.pk: _zone(egg) for egg in found.values()}
    looks = last_looks(zones=zones)
    cells = {
        place: Cell(place, _nested(found[place], looks, at) if place in found else None)
        for place in all_places(rows=box.rows, columns=box.columns)
    }
    columns = range(1, box.columns + 1)
    return Grid(
        columns=tuple(Place(1, column).label[0] for column in columns),
        rows=tuple(
            tuple(cells[Place(row, column)] for column in columns)
            for row in range(1, box.rows + 1)
        ),
        eggs=len(found),
        clutches=tuple(sorted({egg.clutch.code for egg in found.values()})),
    )


def eggs_at(*, box: EggBox, places: str) -> list[Egg]:
    """Return the eggs that lie at some places of a box, in that order; one query.

    Args:
        box: any.
        places: as people name them, see `parse_places`; free ones are passed over.

    Raises:
        PlacesError: the box has no such place.
        PlacingError: no egg lies at any of them.
    """
    wanted = parse_places(places, rows=box.rows, columns=box.columns)
    rows = EggPlace.objects.filter(box=box, until_at__isnull=True)
    found = {
        Place(row.row, row.column): row.egg
        for row in rows.select_related("egg__clutch__site")
    }
    eggs = [found[place] for place in wanted if place in found]
    if not eggs:
        raise PlacingError(
            f"No egg lies at {places} of box {box.code}. Name places where eggs lie.",
            fields={"places": "places where eggs lie"},
        )
    return eggs


def eggs_in(*, box: EggBox, keys: Collection[int]) -> list[Egg]:
    """Return those of some eggs that lie in a box, in the order of places; one query."""
    rows = EggPlace.objects.filter(box=box, until_at__isnull=True, egg__in=keys)
    ordered = rows.select_related("egg__clutch__site").order_by("row", "column")
    return [row.egg for row in ordered]


def last_looks(*, zones: dict[int, ZoneInfo]) -> dict[int, LastLook]:
    """Return what was last seen and weighed of eggs; one query.

    Args:
        zones: by which clock its days are told, by egg.
    """
    found: dict[int, LastLook] = {}
    checks = EggCheck.objects.filter(egg__in=zones, struck_at__isnull=True)
    for egg, at, seen, mass_g in checks.order_by("at", "pk").values_list(
        "egg_id", "at", "seen", "mass_g"
    ):
        on = at.astimezone(zones[egg]).date()
        known = found.get(egg, LastLook())
        found[egg] = LastLook(
            seen=Candled(seen) if seen else known.seen,
            seen_on=on if seen else known.seen_on,
            mass_g=known.mass_g if mass_g is None else mass_g,
            weighed_on=known.weighed_on if mass_g is None else on,
        )
    return found


def _zone(egg: Egg) -> ZoneInfo:
    return ZoneInfo(egg.clutch.site.time_zone)


def _nested(egg: Egg, looks: dict[int, LastLook], at: datetime) -> Nested:
    today = at.astimezone(_zone(egg)).date()
    return Nested(
        id=egg.pk,
        clutch=egg.clutch.code,
        number=egg.number,
        state=EggState(egg.state),
        day=(today - egg.clutch.laid_on).days,
        look=looks.get(egg.pk, LastLook()),
    )
