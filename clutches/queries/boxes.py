"""Egg boxes: where they stand, and what lies in them."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from clutches.models import BoxStay, EggBox, EggPlace
from clutches.rules.boxes.boxes import StandingBox
from core.errors import NotFoundError
from core.models import Site


def box_of(*, code: str) -> EggBox:
    """Return a box by the code on its label; one query.

    Raises:
        NotFoundError: there is none.
    """
    box = EggBox.objects.filter(code=code).first()
    if box is None:
        raise NotFoundError(
            f"There is no box {code!r}. Give the code on its label.",
            fields={"box": "the code of a box"},
        )
    return box


def with_counts(boxes: QuerySet[EggBox]) -> QuerySet[EggBox]:
    """Return boxes with how many eggs lie in each, as `eggs_in_it`."""
    here = EggPlace.objects.filter(box=OuterRef("pk"), until_at__isnull=True)
    counted = here.order_by().values("box").annotate(eggs=Count("pk")).values("eggs")
    return boxes.annotate(eggs_in_it=Coalesce(Subquery(counted), 0))


@dataclass(frozen=True, slots=True)
class StandingLine:
    """One box in use: where it stands, how many eggs lie in it."""

    code: str
    incubator: str
    room: str
    eggs: int
    places: int


def standing_boxes() -> tuple[StandingLine, ...]:
    """Return the boxes in use, by code; one query."""
    here = BoxStay.objects.filter(box=OuterRef("pk"), until_at__isnull=True)
    rows = with_counts(EggBox.objects.filter(retired_on__isnull=True)).annotate(
        incubator=Subquery(here.values("incubator__code")[:1]),
        room=Subquery(here.values("incubator__room__name")[:1]),
    )
    return tuple(
        StandingLine(code, incubator or "", room or "", eggs, lines * columns)
        for code, incubator, room, eggs, lines, columns in rows.order_by(
            "code"
        ).values_list("code", "incubator", "room", "eggs_in_it", "rows", "columns")
    )


def stays_of(*, box: EggBox) -> list[BoxStay]:
    """Return where a box stood, the newest stay first; one query."""
    rows = BoxStay.objects.filter(box=box).select_related("incubator__room__site")
    return list(rows.order_by("-from_at", "-pk"))


def standing(*, box: EggBox, stays: Collection[BoxStay]) -> StandingBox:
    """Return a box as it stands by its stays, the newest first; no query."""
    newest = next(iter(stays), None)
    is_open = newest is not None and newest.until_at is None
    return StandingBox(
        code=box.code,
        made_on=box.made_on,
        retired_on=box.retired_on,
        incubator=newest.incubator.code if newest and is_open else "",
        since_at=newest.from_at if newest and is_open else None,
        last_until_at=newest.until_at if newest and not is_open else None,
    )


def site_of(*, box: EggBox) -> Site | None:
    """Return the site at which a box stands or last stood; two queries at most.

    Where it never stood in an incubator, the site of the newest egg in it; None:
    neither is on record.
    """
    stay = (
        BoxStay.objects.filter(box=box)
        .select_related("incubator__room__site")
        .order_by("-from_at", "-pk")
        .first()
    )
    if stay is not None:
        return stay.incubator.room.site
    lying = (
        EggPlace.objects.filter(box=box)
        .select_related("egg__clutch__site")
        .order_by("-from_at", "-pk")
        .first()
    )
    return lying.egg.clutch.site if lying else None


def zone_of(*, box: EggBox) -> ZoneInfo:
    """Return by which clock a box is spoken of; UTC where it was nowhere yet."""
    site = site_of(box=box)
    return ZoneInfo(site.time_zone if site else "UTC")


def day_at(*, box: EggBox, at: datetime) -> date:
    """Return the local day of an instant where a box stands or last stood."""
    return at.astimezone(zone_of(box=box)).date()
