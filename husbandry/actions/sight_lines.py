"""Which enclosures can be seen from one another."""

from datetime import date, datetime, timedelta

from django.db import transaction

from core import audit
from core.constraints import promised
from core.errors import DomainError
from core.models import User
from husbandry.actions.staleness import mark_stale
from husbandry.models import Enclosure, SightLine


class SightLineError(DomainError):
    """A line of sight cannot be noted or removed as asked."""

    code = "sight_line_refused"


@transaction.atomic
def note_sight_line(
    *,
    enclosure: Enclosure,
    other: Enclosure,
    from_on: date,
    by: User | None,
    at: datetime,
) -> SightLine:
    """Note that each of two enclosures can be seen from the other.

    Reviews of nights from that day on are marked stale.

    Args:
        enclosure: one of them, in whichever order.
        other: the other.
        from_on: since when.
        by: the person.
        at: now.

    Raises:
        SightLineError: it is one and the same, they stand at different sites, or
            it is noted for that day already.
    """
    if enclosure.pk == other.pk:
        raise SightLineError(
            f"{enclosure} is always in sight of itself; name two enclosures.",
            fields={"other": "another enclosure"},
        )
    if enclosure.room.site_id != other.room.site_id:
        raise SightLineError(
            f"{enclosure} and {other} stand at different sites and cannot be seen "
            "from each other.",
            fields={"other": "an enclosure of the same site"},
        )
    lower, upper = sorted((enclosure, other), key=lambda e: e.pk)
    noted = SightLineError(
        f"That {lower} and {upper} see each other is noted for {from_on:%d %b %Y} "
        "already.",
        fields={"from_on": "a day without such a note"},
    )
    lines = SightLine.objects.filter(enclosure=lower, other=upper)
    if lines.exclude(until_on__lt=from_on).exists():
        raise noted
    line = SightLine(enclosure=lower, other=upper, from_on=from_on)
    with promised(
        {"husbandry_sightline_once": noted, "husbandry_sightline.enclosure_id": noted}
    ):
        line.save()
    mark_stale(site_ids=[lower.room.site_id], from_on=from_on, at=at)
    after = audit.values(line, "enclosure", "other", "from_on")
    audit.record(line, verb="note_sight_line", by=by, at=at, after=after)
    return line


@transaction.atomic
def remove_sight_line(
    *,
    enclosure: Enclosure,
    other: Enclosure,
    until_on: date,
    by: User | None,
    at: datetime,
) -> SightLine:
    """Note that something stands between two enclosures now.

    Args:
        enclosure: one of them, in whichever order.
        other: the other.
        until_on: the last day on which they saw each other.
        by: the person.
        at: now.

    Raises:
        SightLineError: no open line of sight between them is noted, or it began
            after that day.
    """
    lower, upper = sorted((enclosure, other), key=lambda e: e.pk)
    line = SightLine.objects.filter(
        enclosure=lower, other=upper, until_on__isnull=True
    ).first()
    if line is None:
        raise SightLineError(
            f"It is not noted that {lower} and {upper} see each other.",
            fields={"other": "an enclosure in sight"},
        )
    if until_on < line.from_on:
        raise SightLineError(
            f"{lower} and {upper} see each other since {line.from_on:%d %b %Y}; the "
            "last day cannot lie before that.",
            fields={"until_on": f"{line.from_on} or later"},
        )
    line.until_on = until_on
    line.save(update_fields=["until_on"])
    following = until_on + timedelta(days=1)
    mark_stale(site_ids=[lower.room.site_id], from_on=following, at=at)
    after = audit.values(line, "enclosure", "other", "until_on")
    audit.record(line, verb="remove_sight_line", by=by, at=at, after=after)
    return line
