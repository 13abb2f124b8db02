"""Record that somebody looked into boxes: weighed them, made up lost water."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import partial

from django.db import transaction
from django.db.models import Q

from clutches.actions.staleness import mark_boxes_stale
from clutches.models import BoxCheck, EggBox
from clutches.rules.boxes.boxes import BoxError, round_grams
from core.models import User
from husbandry.actions.care_books import CareBook, Ruling
from husbandry.actions.care_records import CareResult, mark_judged_by
from husbandry.rules.care_entries import CareEntryError, check_not_to_come

BOX_CHECK = Ruling("box check", key=("box_id", "at"), content=("mass_g", "water_g"))


@dataclass(frozen=True, slots=True)
class BoxCheckRow:
    """One line of a list of box checks.

    Attributes:
        box: the box's code.
        at: when it was looked into.
        mass_g: of the box with all that is in it, before watering; None: not weighed.
        water_g: that was added then; None: none.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the check that it replaces, which is struck out.
    """

    box: str
    at: datetime
    mass_g: Decimal | None = None
    water_g: Decimal | None = None
    note: str = ""
    corrects: int | None = None


@transaction.atomic
def record_box_checks(
    *, rows: Sequence[BoxCheckRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of box checks; a bad line does not keep the others out.

    A look without weighing or watering is one, too. Reviews that judged the boxes
    from those days on are marked stale. The same list recorded again changes nothing.
    As many queries for one line as for many.

    Args:
        rows: in any order.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order.
    """
    boxes = {
        box.code: box
        for box in EggBox.objects.select_for_update(no_key=True)
        .filter(code__in={row.box for row in rows})
        .order_by("pk")
    }
    book = CareBook(BoxCheck, BOX_CHECK, by, recorded_at)
    book.look_up(
        Q(
            box__in=[box.pk for box in boxes.values()],
            at__in={row.at for row in rows},
        ),
        corrects={row.corrects for row in rows if row.corrects is not None},
        along=("box",),
    )

    def enter(row: BoxCheckRow) -> None:
        record = BoxCheck(
            box=_box(row, boxes),
            at=row.at,
            mass_g=round_grams("mass_g", row.mass_g),
            water_g=round_grams("water_g", row.water_g),
            note=row.note,
        )
        book.enter(
            record, corrects=row.corrects, check=partial(_check, record, recorded_at)
        )

    book.enter_each(rows, enter)
    results = book.write()
    touched = [*book.added(), *book.corrected()]
    if touched:
        mark_boxes_stale(
            box_ids={check.box_id for check in touched},
            since_at=min(check.at for check in touched),
            at=recorded_at,
        )
    return results


def _box(row: BoxCheckRow, boxes: Mapping[str, EggBox]) -> EggBox:
    box = boxes.get(row.box)
    if box is None:
        raise BoxError(
            f"There is no box {row.box!r}. Give the code on its label.",
            fields={"box": "the code of a box"},
        )
    return box


def _check(record: BoxCheck, recorded_at: datetime) -> tuple[str, ...]:
    check_not_to_come(record.at, recorded_at=recorded_at)
    # A day's difference between clocks: the box itself has none.
    box, on = record.box, record.at.date()
    if (box.made_on - on).days > 1:
        raise CareEntryError(
            f"Box {box.code} was made up on {box.made_on:%d %b %Y}; nobody can have "
            f"looked into it on {on:%d %b %Y}.",
            fields={"at": f"from {box.made_on} on"},
        )
    if box.retired_on is not None and (on - box.retired_on).days > 1:
        raise CareEntryError(
            f"Box {box.code} was retired on {box.retired_on:%d %b %Y}; nobody can have "
            f"looked into it on {on:%d %b %Y}.",
            fields={"at": f"until {box.retired_on}"},
        )
    return ()


@mark_judged_by.register
def _(record: BoxCheck, at: datetime) -> None:
    mark_boxes_stale(box_ids=[record.box_id], since_at=record.at, at=at)
