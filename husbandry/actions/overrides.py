"""Agree on targets for one animal instead of its profile's: by whom, why, until when."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from core import audit
from core.models import User
from husbandry.models import Animal, TargetOverride
from husbandry.queries.animals import care_by_animal, reproduction_on
from husbandry.queries.stays import local_day_of
from husbandry.rules.animals import not_in_care
from husbandry.rules.overrides import Limits, OverrideError, check_limits, check_spell
from husbandry.rules.profiles.resolving import resolve_targets
from husbandry.rules.vocabulary import AnimalStatus, Period, Quantity, Sex, Zone

STEP = Decimal("0.001")
# No column holds it, and with very many digits there are no thousandths to keep.
TOO_LARGE = Decimal(100_000)
_TOLD = (
    "quantity",
    "zone",
    "period",
    "low",
    "high",
    "hard_low",
    "hard_high",
    "tolerated_minutes",
    "from_on",
    "until_on",
)


@transaction.atomic
def override_target(
    *,
    animal: Animal,
    quantity: Quantity,
    zone: Zone,
    period: Period,
    low: Decimal | None,
    high: Decimal | None,
    from_on: date,
    until_on: date,
    reason: str,
    by: User | None,
    at: datetime,
    hard_low: Decimal | None = None,
    hard_high: Decimal | None = None,
    tolerated_minutes: int = 60,
) -> TargetOverride:
    """Agree on a target for one animal; the audit entry says what its profile wanted.

    Args:
        animal: in care.
        quantity: what is wanted differently.
        zone: at which spot; not among eggs.
        period: by day or by night.
        low: low end, °C, % or UV index, kept to a thousandth; None: open. One end
            at least is given.
        high: high end.
        from_on: first local day, today or later.
        until_on: last local day, at most 366 days in all.
        reason: why; on whose word.
        by: the person.
        at: now.
        hard_low: limit below which somebody must act at once; None: the profile's.
        hard_high: the same above.
        tolerated_minutes: how long outside, in all, in one period is put up with.

    Returns:
        The agreement.

    Raises:
        OverrideError: no reason, an animal that has left, limits or days that
            cannot be, or another agreement holds for the same on some of the days.
    """
    limits = Limits(*(_stored(end) for end in (low, high, hard_low, hard_high)))
    check_limits(quantity, limits, tolerated_minutes=tolerated_minutes)
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    _check_agreed(animal, reason)
    today = local_day_of(animal=animal, at=at)
    check_spell(zone=zone, from_on=from_on, until_on=until_on, today=today)
    override = TargetOverride(
        animal=animal,
        quantity=quantity.value,
        zone=zone.value,
        period=period.value,
        low=limits.low,
        high=limits.high,
        hard_low=limits.hard_low,
        hard_high=limits.hard_high,
        tolerated_minutes=tolerated_minutes,
        from_on=from_on,
        until_on=until_on,
        reason=reason.strip(),
        made_by=by,
        made_at=at,
    )
    _check_alone(override)
    override.save()
    audit.record(
        override,
        verb="override_target",
        by=by,
        at=at,
        before=_wanted(animal, override),
        after={**audit.values(override, *_TOLD), "animal": str(animal)},
        reason=override.reason,
    )
    return override


@transaction.atomic
def withdraw_override(
    *, override: TargetOverride, reason: str, by: User | None, at: datetime
) -> TargetOverride:
    """Take an agreement back; today's night is judged by the profile again.

    Nights that ended before keep having been judged by it.

    Args:
        override: one that was not withdrawn yet.
        reason: why.
        by: the person.
        at: now.

    Raises:
        OverrideError: no reason, or it was withdrawn already.
    """
    _check_reason(reason)
    changed = TargetOverride.objects.filter(
        pk=override.pk, withdrawn_at__isnull=True
    ).update(withdrawn_at=at)
    if not changed:
        raise OverrideError("This agreement was withdrawn already.")
    override.withdrawn_at = at
    audit.record(
        override,
        verb="withdraw_override",
        by=by,
        at=at,
        before=audit.values(override, *_TOLD),
        after=audit.values(override, "withdrawn_at"),
        reason=reason.strip(),
    )
    return override


def _stored(end: Decimal | None) -> Decimal | None:
    """Return a limit to a thousandth, as it is kept and compared."""
    if end is None or not end.is_finite() or abs(end) >= TOO_LARGE:
        return end  # for the rule to refuse
    return end.quantize(STEP)


def _check_reason(reason: str) -> None:
    if not reason.strip():
        raise OverrideError(
            "Say why, and on whose word: whoever reads it later must know.",
            fields={"reason": "not blank"},
        )


def _check_agreed(animal: Animal, reason: str) -> None:
    _check_reason(reason)
    if animal.status != AnimalStatus.IN_CARE:
        raise OverrideError(
            not_in_care(str(animal), AnimalStatus(animal.status)),
            fields={"animal": "one in care"},
        )


def _check_alone(override: TargetOverride) -> None:
    other = TargetOverride.objects.filter(
        animal=override.animal,
        quantity=override.quantity,
        zone=override.zone,
        period=override.period,
        withdrawn_at__isnull=True,
        from_on__lte=override.until_on,
        until_on__gte=override.from_on,
    ).first()
    if other is not None:
        raise OverrideError(
            f"Another agreement for the same holds from {other.from_on:%d %b %Y} to "
            f"{other.until_on:%d %b %Y}. Withdraw it first, or choose other days.",
            fields={"from_on": f"later than {other.until_on}"},
        )


def _wanted(animal: Animal, override: TargetOverride) -> dict[str, Any]:
    """Return what the profile wants at the same spot on the first day."""
    on = override.from_on
    care = care_by_animal(animals=[animal], on=on)[animal.pk]
    if care.profile is None:
        return {"profile": None}
    targets = resolve_targets(
        care.profile,
        stage=care.stage_code,
        sex=Sex(animal.sex),
        reproduction=reproduction_on(animal=animal, on=on),
        overrides=(),
        on=on,
    )
    spot = (override.quantity, override.zone, override.period)
    for target in targets:
        if (target.quantity, target.zone, target.period) == spot:
            return {
                "profile": target.target_id,
                "low": target.low,
                "high": target.high,
                "hard_low": target.hard_low,
                "hard_high": target.hard_high,
                "tolerated_minutes": target.tolerated_minutes,
                "source": target.provenance.source,
            }
    return {"profile": None}
