"""Fit lamps, measure under them, take them away."""

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Max

from core import audit
from core.models import User
from husbandry.actions.care_records import told
from husbandry.actions.staleness import mark_stale
from husbandry.models import Enclosure, Lamp, LampCheck
from husbandry.rules.care_entries import check_not_to_come, check_note
from husbandry.rules.lamps import (
    LampError,
    check_burning,
    check_fitting,
    check_removal,
    round_uv,
)
from husbandry.rules.vocabulary import LampKind

_LAMP = ("enclosure", "kind", "label", "fitted_on", "removed_on")


@transaction.atomic
def fit_lamp(
    *,
    enclosure: Enclosure,
    kind: LampKind,
    label: str,
    fitted_on: date,
    by: User | None,
    at: datetime,
) -> Lamp:
    """Note a lamp over an enclosure; a new tube is a new lamp.

    Reviews of nights from that day on are marked stale.

    Args:
        enclosure: in use on that day.
        kind: what the lamp is for.
        label: what is written on it, up to 80 characters.
        fitted_on: its first local day, today or earlier.
        by: the person.
        at: now.

    Returns:
        The lamp; the one on record where the same was said already. Two that are
        alike need labels that differ.

    Raises:
        LampError: the label is too long, or it cannot have been fitted on that day.
    """
    # Locked, so that the same lamp sent twice at once is one lamp.
    enclosure = Enclosure.objects.select_for_update(no_key=True).get(pk=enclosure.pk)
    lamp = Lamp(
        enclosure=enclosure, kind=kind.value, label=label.strip(), fitted_on=fitted_on
    )
    known = Lamp.objects.filter(
        enclosure=enclosure, kind=lamp.kind, label=lamp.label, fitted_on=fitted_on
    ).first()
    if known is not None:
        return known
    check_fitting(
        lamp.label,
        fitted_on=fitted_on,
        retired_on=enclosure.retired_on,
        today=_day(enclosure, at),
    )
    lamp.save()
    _mark(enclosure, fitted_on, at)
    audit.record(
        lamp, verb="fit_lamp", by=by, at=at, after=audit.values(lamp, *_LAMP[:-1])
    )
    return lamp


@transaction.atomic
def remove_lamp(*, lamp: Lamp, on: date, by: User | None, at: datetime) -> Lamp:
    """Note that a lamp was taken away; it stays on record with its readings.

    Reviews of nights from that day on are marked stale.

    Args:
        lamp: one that burns.
        on: the last local day on which it burnt there, today or earlier.
        by: the person.
        at: now.

    Raises:
        LampError: it was removed already, or that day cannot have been its last.
    """
    lamp = Lamp.objects.select_for_update().get(pk=lamp.pk)
    if lamp.removed_on is not None:
        raise LampError(
            f"It was removed on {lamp.removed_on:%d %b %Y} already.",
            fields={"lamp": "one that burns"},
        )
    last_at = lamp.checks.filter(struck_at__isnull=True).aggregate(at=Max("at"))["at"]
    enclosure = lamp.enclosure
    check_removal(
        on=on,
        fitted_on=lamp.fitted_on,
        last_checked_on=None if last_at is None else _day(enclosure, last_at),
        today=_day(enclosure, at),
    )
    lamp.removed_on = on
    lamp.save(update_fields=["removed_on"])
    _mark(enclosure, on, at)
    audit.record(
        lamp,
        verb="remove_lamp",
        by=by,
        at=at,
        before={"removed_on": None},
        after=audit.values(lamp, "removed_on"),
    )
    return lamp


@transaction.atomic
def check_lamp(
    *,
    lamp: Lamp,
    uv_index: Decimal,
    distance_cm: Decimal | None,
    at: datetime,
    by: User | None,
    recorded_at: datetime,
    note: str = "",
) -> LampCheck:
    """Record what a UV-index meter showed under a lamp, where the animal sits.

    Reviews of nights from that day on are marked stale. The same reading recorded
    again changes nothing; a wrong one is struck out (see `strike_out`).

    Args:
        lamp: it burnt there on that day.
        uv_index: 0 to 20, kept to 0.01.
        distance_cm: from the lamp to the meter, kept to 0.1 cm; None: not measured.
        at: when it was measured.
        by: the person.
        recorded_at: now.
        note: up to 300 characters.

    Returns:
        The reading; the one on record where the same was known already.

    Raises:
        CareEntryError: the instant is to come, or the note is too long.
        LampError: the lamp did not burn there then, a value cannot be, or another
            reading is on record for that instant.
    """
    check_note(note)
    # Locked, so that the same reading sent twice at once is one reading.
    lamp = Lamp.objects.select_for_update(no_key=True).get(pk=lamp.pk)
    uv_index, distance_cm = round_uv(uv_index=uv_index, distance_cm=distance_cm)
    check = LampCheck(
        lamp=lamp, at=at, uv_index=uv_index, distance_cm=distance_cm, note=note
    )
    other = LampCheck.objects.filter(lamp=lamp, at=at, struck_at__isnull=True).first()
    if other is not None:
        return _the_same(other, check)
    check_not_to_come(at, recorded_at=recorded_at)
    on = _day(lamp.enclosure, at)
    check_burning(on=on, fitted_on=lamp.fitted_on, removed_on=lamp.removed_on)
    check.recorded_by, check.recorded_at = by, recorded_at
    check.save()
    _mark(lamp.enclosure, on, recorded_at)
    audit.record(check, verb="check_lamp", by=by, at=recorded_at, after=told(check))
    return check


def _the_same(other: LampCheck, check: LampCheck) -> LampCheck:
    """Return the reading on record, if it says the same."""
    if (other.uv_index, other.distance_cm, other.note) == (
        check.uv_index,
        check.distance_cm,
        check.note,
    ):
        return other
    raise LampError(
        f"At {other.at:%Y-%m-%d %H:%M %Z} a UV index of {other.uv_index} is on record "
        "under this lamp. Strike that out if it is wrong, or give the instant of this "
        "reading.",
        fields={"at": "an instant without a reading"},
    )


def _day(enclosure: Enclosure, at: datetime) -> date:
    return at.astimezone(ZoneInfo(enclosure.room.site.time_zone)).date()


def _mark(enclosure: Enclosure, from_on: date, at: datetime) -> None:
    mark_stale(site_ids=[enclosure.room.site_id], from_on=from_on, at=at)
