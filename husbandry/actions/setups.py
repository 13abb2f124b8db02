"""How enclosures stand, from a day on."""

from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import transaction

from core import audit
from core.constraints import promised
from core.errors import DomainError
from core.models import User
from husbandry.actions.staleness import mark_stale
from husbandry.models import Enclosure, Setup
from husbandry.rules.vocabulary import Lights, Misting

LARGEST_CM = Decimal("9999.9")
_SETUP = (
    "from_on",
    "width_cm",
    "depth_cm",
    "height_cm",
    "lights",
    "lights_on",
    "lights_off",
    "laying_bin",
    "misting",
    "notes",
)


class SetupError(DomainError):
    """An enclosure cannot stand as described."""

    code = "setup_refused"


class SetupChanges(TypedDict, total=False):
    """What of a set-up can be corrected."""

    width_cm: Decimal
    depth_cm: Decimal
    height_cm: Decimal
    lights: Lights
    lights_on: time | None
    lights_off: time | None
    laying_bin: bool
    misting: Misting
    notes: str


@transaction.atomic
def set_up_enclosure(
    *,
    enclosure: Enclosure,
    from_on: date,
    width_cm: Decimal,
    depth_cm: Decimal,
    height_cm: Decimal,
    lights: Lights,
    lights_on: time | None,
    lights_off: time | None,
    laying_bin: bool,
    by: User | None,
    at: datetime,
    misting: Misting = Misting.BY_HAND,
    notes: str = "",
) -> Setup:
    """Say how an enclosure stands from a day on, until the next set-up.

    Reviews of nights from that day on are marked stale.

    Args:
        enclosure: in use.
        from_on: the first local day; may lie before today or after it.
        width_cm: inner width, to 0.1 cm, more than 0.
        depth_cm: inner depth.
        height_cm: inner height.
        lights: on a timer, or natural.
        lights_on: local time; with a timer only.
        lights_off: local time, later than `lights_on`; with a timer only.
        laying_bin: a place to dig and lay is there.
        by: the person.
        at: now.
        misting: by hand it is a task of the round; a timer does it unasked.
        notes: may be empty.

    Returns:
        The row; the one on record where the same was said already.

    Raises:
        SetupError: a size is not above zero, the times do not fit the lights, or
            another set-up is on record from that day (see `correct_setup`).
    """
    setup = Setup(
        enclosure=enclosure,
        from_on=from_on,
        width_cm=_rounded("width_cm", width_cm),
        depth_cm=_rounded("depth_cm", depth_cm),
        height_cm=_rounded("height_cm", height_cm),
        lights=lights.value,
        lights_on=lights_on,
        lights_off=lights_off,
        laying_bin=laying_bin,
        misting=misting.value,
        notes=notes,
    )
    _check_lights(lights, lights_on, lights_off)
    known = Setup.objects.filter(enclosure=enclosure, from_on=from_on).first()
    if known is not None and _told(known) == _told(setup):
        return known
    there = SetupError(
        f"{enclosure} has a set-up from {from_on:%d %b %Y} on record already. Correct "
        "that one, or give the day from which this one holds.",
        fields={"from_on": "a day without a set-up"},
    )
    with promised(
        {"husbandry_setup_once_a_day": there, "husbandry_setup.enclosure_id": there}
    ):
        setup.save()
    _changed(setup, verb="set_up_enclosure", by=by, at=at, before={})
    return setup


@transaction.atomic
def correct_setup(
    *,
    setup: Setup,
    by: User | None,
    at: datetime,
    reason: str,
    **changes: Unpack[SetupChanges],
) -> Setup:
    """Mend a set-up that was recorded wrongly; what it said stays in the audit trail.

    Args:
        setup: the one to mend. How an enclosure is changed *now* is a new set-up.
        by: the person.
        at: now.
        reason: what was wrong.
        changes: the fields to mend, as in `set_up_enclosure`.

    Raises:
        SetupError: no reason, nothing to change, or as in `set_up_enclosure`.
    """
    if not reason.strip():
        raise SetupError("Say what was wrong.", fields={"reason": "not blank"})
    setup = Setup.objects.select_for_update().get(pk=setup.pk)
    before = _told(setup)
    for name, value in changes.items():
        size = name.endswith("_cm")
        setattr(setup, name, _rounded(name, Decimal(str(value))) if size else value)
    if _told(setup) == before:
        raise SetupError("Nothing would change: give what it should say.")
    _check_lights(Lights(setup.lights), setup.lights_on, setup.lights_off)
    setup.save()
    _changed(setup, verb="correct_setup", by=by, at=at, before=before, reason=reason)
    return setup


def _told(setup: Setup) -> dict[str, Any]:
    return audit.values(setup, *_SETUP)


def _changed(
    setup: Setup,
    *,
    verb: str,
    by: User | None,
    at: datetime,
    before: dict[str, Any],
    reason: str = "",
) -> None:
    site_id = setup.enclosure.room.site_id
    mark_stale(site_ids=[site_id], from_on=setup.from_on, at=at)
    audit.record(
        setup.enclosure,
        verb=verb,
        by=by,
        at=at,
        before=before,
        after=_told(setup),
        reason=reason,
    )


def _rounded(name: str, size_cm: Decimal) -> Decimal:
    if not size_cm.is_finite() or not 0 < size_cm <= LARGEST_CM:
        raise SetupError(
            f"A size of {size_cm} cm cannot be: give more than 0 and at most "
            f"{LARGEST_CM} cm.",
            fields={name: "more than 0"},
        )
    rounded = size_cm.quantize(Decimal("0.1"))
    if not rounded:
        raise SetupError(
            f"A size of {size_cm} cm is less than 0.1 cm; check the unit.",
            fields={name: "at least 0.1"},
        )
    return rounded


def _check_lights(
    lights: Lights, lights_on: time | None, lights_off: time | None
) -> None:
    if lights is Lights.NATURAL:
        if lights_on is not None or lights_off is not None:
            raise SetupError(
                "Natural light has no switching times: leave them out, or say timer.",
                fields={"lights_on": "empty", "lights_off": "empty"},
            )
        return
    if lights_on is None or lights_off is None:
        raise SetupError(
            "A timer needs both times: say when the lights go on and off.",
            fields={"lights_on": "a time", "lights_off": "a time"},
        )
    if lights_off <= lights_on:
        raise SetupError(
            f"Lights that go on at {lights_on:%H:%M} must go off later the same day, "
            f"not at {lights_off:%H:%M}.",
            fields={"lights_off": f"later than {lights_on:%H:%M}"},
        )
