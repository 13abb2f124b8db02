"""Make up egg boxes, move them between incubators, retire them when they are empty."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.actions.staleness import mark_boxes_stale
from clutches.models import BoxStay, EggBox, EggPlace
from clutches.queries.boxes import day_at, standing, stays_of
from clutches.rules.boxes.boxes import (
    BoxError,
    Shelf,
    check_box,
    check_box_move,
    check_retirement,
    round_grams,
)
from clutches.rules.vocabulary import Substrate
from core import audit
from core.constraints import promised
from core.models import User
from core.zones import day_bounds
from husbandry.models import Enclosure
from husbandry.rules.vocabulary import EnclosureKind

LONGEST_REASON = 200
# The latest local day on Earth is that of UTC+14.
FURTHEST_ZONE = timedelta(hours=14)


@transaction.atomic
def make_box(
    *,
    code: str,
    rows: int,
    columns: int,
    substrate: Substrate,
    substrate_g: Decimal | None,
    water_g: Decimal | None,
    made_on: date,
    by: User | None,
    at: datetime,
    note: str = "",
    incubator: Enclosure | None = None,
    moved_at: datetime | None = None,
) -> EggBox:
    """Make up an egg box, and put it into an incubator where one is named.

    Args:
        code: as on its label; unique for ever, without a slash.
        rows: 1 to 26.
        columns: 1 to 26.
        substrate: what the eggs lie in.
        substrate_g: dry, kept to 0.1 g; None: not weighed.
        water_g: that was added, kept to 0.1 g; None: not weighed.
        made_on: local day, not to come.
        by: the person.
        at: now.
        note: up to 300 characters.
        incubator: where it stands; None: nowhere yet.
        moved_at: since when it stands there; None: from now on.

    Returns:
        The box.

    Raises:
        BoxError: the code is taken or none, or a value cannot be; or see `move_box`.
    """
    code = code.strip()
    today = (at + FURTHEST_ZONE).astimezone(UTC).date()
    check_box(code=code, rows=rows, columns=columns, made_on=made_on, today=today)
    _check_length("note", note, 300)
    box = EggBox(
        code=code,
        rows=rows,
        columns=columns,
        substrate=substrate.value,
        substrate_g=round_grams("substrate_g", substrate_g),
        water_g=round_grams("water_g", water_g),
        made_on=made_on,
        note=note.strip(),
    )
    taken = BoxError(
        f"There is a box {code} already, in use or not; labels must differ for ever.",
        fields={"code": "one that no box ever had"},
    )
    with promised({"clutches_eggbox_code": taken, "clutches_eggbox.code": taken}):
        box.save()
    told = ("code", "rows", "columns", "substrate", "substrate_g", "water_g", "made_on")
    after = audit.values(box, *told, "note")
    audit.record(box, verb="make_box", by=by, at=at, after=after)
    if incubator is not None:
        move_box(box=box, incubator=incubator, moved_at=moved_at or at, by=by, at=at)
    return box


@transaction.atomic
def move_box(
    *,
    box: EggBox,
    incubator: Enclosure | None,
    moved_at: datetime,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> BoxStay | None:
    """Move a box with all that lies in it, now or as it was done earlier.

    Reviews of nights since then are marked stale, where it stood and where it stands.

    Args:
        box: in use.
        incubator: where it went; None: out of its incubator.
        moved_at: when it was moved, after its current stay began.
        by: the person.
        at: now.
        reason: why, up to 200 characters.

    Returns:
        The stay that begins, or None.

    Raises:
        BoxError: see `check_box_move`; or somebody else moved it at the same moment.
    """
    _check_length("reason", reason, LONGEST_REASON)
    box = EggBox.objects.select_for_update().get(pk=box.pk)
    stays = stays_of(box=box)
    stands = standing(box=box, stays=stays)
    moved_on = day_at(box=box, at=moved_at)
    to = None
    if incubator is not None:
        incubator = Enclosure.objects.select_related("room__site").get(pk=incubator.pk)
        moved_on = moved_at.astimezone(ZoneInfo(incubator.room.site.time_zone)).date()
        is_incubator = incubator.kind == EnclosureKind.INCUBATOR
        to = Shelf(incubator.code, is_incubator, incubator.retired_on)
    check_box_move(stands, to=to, moved_at=moved_at, moved_on=moved_on, at=at)
    # Both before and after: it was judged where it no longer is, and not where it is.
    mark_boxes_stale(box_ids=[box.pk], since_at=moved_at, at=at)
    stay = _begin_stay(box, incubator, moved_at=moved_at, by=by, reason=reason)
    mark_boxes_stale(box_ids=[box.pk], since_at=moved_at, at=at)
    audit.record(
        box,
        verb="move_box",
        by=by,
        at=at,
        before={"incubator": stands.incubator or None},
        after={
            "incubator": incubator.code if incubator else None,
            "moved_at": moved_at.isoformat(),
        },
        reason=reason,
    )
    return stay


def _begin_stay(
    box: EggBox,
    incubator: Enclosure | None,
    *,
    moved_at: datetime,
    by: User | None,
    reason: str,
) -> BoxStay | None:
    moved = BoxError(
        f"Box {box.code} was moved by somebody else at the same moment. Look where it "
        "stands now, then move it again.",
        fields={"box": "as it stands now"},
    )
    with promised(
        {
            "clutches_boxstay_one_open": moved,
            "clutches_boxstay_in_order": moved,
            "clutches_boxstay.box_id": moved,
        }
    ):
        BoxStay.objects.filter(box=box, until_at__isnull=True).update(until_at=moved_at)
        if incubator is None:
            return None
        return BoxStay.objects.create(
            box=box,
            incubator=incubator,
            from_at=moved_at,
            moved_by=by,
            reason=reason.strip(),
        )


@transaction.atomic
def retire_box(
    *, box: EggBox, on: date, by: User | None, at: datetime, reason: str = ""
) -> EggBox:
    """Take an empty box out of use for good, and out of its incubator.

    Args:
        box: in use; no egg lies in it.
        on: local day on which it was emptied.
        by: the person.
        at: now.
        reason: why, up to 200 characters.

    Returns:
        The box.

    Raises:
        BoxError: see `check_retirement`; or it came to its incubator after that day.
    """
    _check_length("reason", reason, LONGEST_REASON)
    box = EggBox.objects.select_for_update().get(pk=box.pk)
    stays = stays_of(box=box)
    places = EggPlace.objects.filter(box=box)
    last_at = places.order_by("-until_at").values_list("until_at", flat=True).first()
    check_retirement(
        standing(box=box, stays=stays),
        on=on,
        today=day_at(box=box, at=at),
        eggs=places.filter(until_at__isnull=True).count(),
        last_egg_on=_last_on(box, last_at),
    )
    stay = stays[0] if stays and stays[0].until_at is None else None
    if stay is not None:
        _end_stay(stay, on, at)
    box.retired_on = on
    box.save(update_fields=["retired_on"])
    audit.record(
        box,
        verb="retire_box",
        by=by,
        at=at,
        before={"retired_on": None},
        after={"retired_on": on},
        reason=reason,
    )
    return box


def _last_on(box: EggBox, last_at: datetime | None) -> date | None:
    """Return the last day on which an egg lay in a box; it may have left at midnight."""
    if last_at is None:
        return None
    return day_at(box=box, at=last_at - timedelta(microseconds=1))


def _end_stay(stay: BoxStay, on: date, at: datetime) -> None:
    zone = ZoneInfo(stay.incubator.room.site.time_zone)
    _, end_s = day_bounds(on, zone=zone)
    until_at = min(at, datetime.fromtimestamp(end_s, UTC))
    if until_at <= stay.from_at:
        came_on = stay.from_at.astimezone(zone).date()
        raise BoxError(
            f"Box {stay.box.code} came to {stay.incubator.code} on "
            f"{came_on:%d %b %Y}; it can be retired on that day or later.",
            fields={"on": f"from {came_on} on"},
        )
    stay.until_at = until_at
    stay.save(update_fields=["until_at"])
    mark_boxes_stale(box_ids=[stay.box_id], since_at=until_at, at=at)


def _check_length(name: str, text: str, most: int) -> None:
    if len(text) > most:
        raise BoxError(
            f"The {name} has {len(text)} characters; at most {most} are kept.",
            fields={name: f"at most {most} characters"},
        )
