"""Hold animals that came, and let them go before the hold is over."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.models import User
from placements.models import Arrival, HoldPolicy, Intake
from placements.rules.holds import (
    HoldError,
    HoldRule,
    check_hold,
    check_lift,
    check_reason,
    check_rule,
)
from placements.rules.vocabulary import IntakeSource

_HOLD = ("hold_until", "hold_reason")
_LIFTED = ("hold_ended_on", "hold_ended_reason")


@transaction.atomic
def set_hold_policy(
    *, source: IntakeSource, days: int, reason: str, by: User | None, at: datetime
) -> HoldPolicy:
    """Decide how long animals of a source are held from now on.

    Animals that came before are held as it was decided then.

    Args:
        source: of the animals.
        days: after the day of arrival, which does not count; 0: no hold.
        reason: which law or decision it follows.
        by: the person.
        at: now.

    Raises:
        HoldError: days that cannot be, or no reason.
    """
    check_rule(HoldRule(days, reason))
    policy = HoldPolicy.objects.create(
        source=source.value, days=days, reason=reason.strip(), made_by=by, made_at=at
    )
    audit.record(
        policy,
        verb="set_hold_policy",
        by=by,
        at=at,
        after=audit.values(policy, "source", "days"),
        reason=policy.reason,
    )
    return policy


@transaction.atomic
def set_hold(
    *,
    arrival: Arrival,
    until_on: date,
    reason: str,
    by: User | None,
    at: datetime,
) -> Arrival:
    """Hold the animals of a delivery until another day: longer, or shorter.

    Animals whose hold was lifted stay free.

    Args:
        arrival: the delivery.
        until_on: the last day on which they may not leave.
        reason: which law, decision or paper it follows.
        by: the person.
        at: now.

    Raises:
        HoldError: no reason, a day that cannot be, or nothing would change.
    """
    arrival = Arrival.objects.select_for_update(of=("self",)).get(pk=arrival.pk)
    check_hold(until_on=until_on, arrived_on=day_of(arrival), reason=reason)
    if (arrival.hold_until, arrival.hold_reason) == (until_on, reason.strip()):
        raise HoldError(
            f"They are held until {until_on:%d %b %Y} for that reason already.",
            fields={"hold_until": "another day"},
        )
    before = audit.values(arrival, *_HOLD)
    arrival.hold_until, arrival.hold_reason = until_on, reason.strip()
    arrival.save(update_fields=_HOLD)
    audit.record(
        arrival,
        verb="set_hold",
        by=by,
        at=at,
        before=before,
        after=audit.values(arrival, *_HOLD),
        reason=arrival.hold_reason,
    )
    return arrival


@transaction.atomic
def lift_hold(
    *, intake: Intake, on: date, reason: str, by: User | None, at: datetime
) -> Intake:
    """Let an animal go before its hold is over; the hold stays on record.

    Args:
        intake: of an animal on hold.
        on: the first local day on which it may leave; not to come.
        reason: who decided it, and why.
        by: the person.
        at: now.

    Raises:
        HoldError: it is not on hold, its hold was lifted or is over, or no reason.
    """
    check_reason(reason, field="reason")
    intake = (
        Intake.objects.select_for_update(of=("self",))
        .select_related("animal", "arrival__site")
        .get(pk=intake.pk)
    )
    arrival = intake.arrival
    check_lift(
        str(intake.animal),
        until_on=arrival.hold_until,
        lifted_on=intake.hold_ended_on,
        arrived_on=day_of(arrival),
        on=on,
        today=at.astimezone(ZoneInfo(arrival.site.time_zone)).date(),
    )
    intake.hold_ended_on, intake.hold_ended_by = on, by
    intake.hold_ended_reason = reason.strip()
    intake.save(update_fields=(*_LIFTED, "hold_ended_by"))
    audit.record(
        intake,
        verb="lift_hold",
        by=by,
        at=at,
        before={"hold_until": arrival.hold_until},
        after=audit.values(intake, "animal", *_LIFTED),
        reason=intake.hold_ended_reason,
    )
    return intake


def day_of(arrival: Arrival) -> date:
    """Return the local day on which a delivery came."""
    return arrival.arrived_at.astimezone(ZoneInfo(arrival.site.time_zone)).date()
