"""Egg grids: a box place by place, and what weighing tells of its water."""

from datetime import date, datetime
from decimal import Decimal
from typing import Annotated

from msgspec import Meta

from api.structs import Instant, Out, from_row
from clutches.models import EggBox
from clutches.queries.grids import Cell, Nested, box_grid
from clutches.queries.water import water_of
from clutches.rules.boxes.water import WaterBalance
from clutches.rules.vocabulary import Candled, EggState


class NestedEggOut(Out, frozen=True):
    """An egg that lies in a box, and what was last found of it."""

    id: int
    clutch: Annotated[str, Meta(description="Code of the clutch.")]
    number: Annotated[int, Meta(description="From 1 within its clutch.")]
    state: EggState
    day: Annotated[int, Meta(description="Days since laying.")]
    seen: Annotated[
        Candled | None,
        Meta(description="At the last candling; null: it was never candled."),
    ]
    seen_on: Annotated[date | None, Meta(description="The local day of that.")]
    mass_g: Annotated[
        Decimal | None,
        Meta(description="At the last weighing, grams; null: it was never weighed."),
    ]
    weighed_on: Annotated[date | None, Meta(description="The local day of that.")]


class GridPlaceOut(Out, frozen=True):
    """One place of a box."""

    place: Annotated[str, Meta(description="Column letter and row number, as `B3`.")]
    row: Annotated[int, Meta(description="From 1, from the back.")]
    column: Annotated[int, Meta(description="From 1, which is A.")]
    egg: Annotated[NestedEggOut | None, Meta(description="null: it is free.")]


class WaterLossOut(Out, frozen=True):
    """What a box lost between two weighings."""

    from_at: Instant
    until_at: Instant
    lost_g: Annotated[
        Decimal | None,
        Meta(
            description="Grams; less than 0: it gained. null: eggs came or went "
            "between, so the masses do not tell."
        ),
    ]


class BoxWaterOut(Out, frozen=True):
    """What weighing tells of the water in a box."""

    losses: Annotated[
        tuple[WaterLossOut, ...],
        Meta(description="From weighing to weighing, the oldest first."),
    ]
    lost_g: Annotated[
        Decimal | None,
        Meta(
            description="All that is known to be lost since the first weighing, grams; "
            "null: it was not weighed twice with the same eggs in it."
        ),
    ]
    make_up_g: Annotated[
        Decimal | None,
        Meta(
            description="What brings it back to what it weighed first, as far as that "
            "is known, grams; null as `lost_g`."
        ),
    ]
    added_g: Annotated[
        Decimal, Meta(description="Water added at checks, all together, grams.")
    ]
    unknown: Annotated[
        int,
        Meta(description="How many losses are not known; `lost_g` is without them."),
    ]


class EggGridOut(Out, frozen=True):
    """A box as it is now."""

    box: Annotated[str, Meta(description="Its code.")]
    eggs: Annotated[int, Meta(description="How many lie in it.")]
    clutches: Annotated[tuple[str, ...], Meta(description="Codes of theirs.")]
    places: Annotated[
        tuple[GridPlaceOut, ...],
        Meta(description="Every place, row after row from the back."),
    ]
    water: BoxWaterOut


def shown_grid(box: EggBox, *, at: datetime) -> EggGridOut:
    """Return a box place by place with its water; four queries.

    Args:
        box: any.
        at: now, from which the days since laying are counted.
    """
    grid = box_grid(box=box, at=at)
    return EggGridOut(
        box=box.code,
        eggs=grid.eggs,
        clutches=grid.clutches,
        places=tuple(_place(cell) for row in grid.rows for cell in row),
        water=_water(water_of(box=box)),
    )


def _place(cell: Cell) -> GridPlaceOut:
    return GridPlaceOut(
        place=cell.place.label,
        row=cell.place.row,
        column=cell.place.column,
        egg=None if cell.egg is None else _egg(cell.egg),
    )


def _egg(egg: Nested) -> NestedEggOut:
    return NestedEggOut(
        id=egg.id,
        clutch=egg.clutch,
        number=egg.number,
        state=egg.state,
        day=egg.day,
        seen=egg.look.seen,
        seen_on=egg.look.seen_on,
        mass_g=egg.look.mass_g,
        weighed_on=egg.look.weighed_on,
    )


def _water(found: WaterBalance) -> BoxWaterOut:
    return BoxWaterOut(
        losses=tuple(from_row(loss, WaterLossOut) for loss in found.losses),
        lost_g=found.lost_g,
        make_up_g=found.make_up_g,
        added_g=found.added_g,
        unknown=found.unknown,
    )
