"""What the looks into a box tell of the water in it."""

from clutches.models import BoxCheck, EggBox, EggPlace
from clutches.rules.boxes.water import BoxLook, WaterBalance, water_balance


def water_of(*, box: EggBox) -> WaterBalance:
    """Return what weighing tells of the water in a box; two queries."""
    checks = BoxCheck.objects.filter(box=box, struck_at__isnull=True).order_by("at")
    places = EggPlace.objects.filter(box=box).values_list("from_at", "until_at")
    changed = {at for spell in places for at in spell if at is not None}
    looks = [
        BoxLook(at, mass_g, water_g)
        for at, mass_g, water_g in checks.values_list("at", "mass_g", "water_g")
    ]
    return water_balance(looks, eggs_changed_at=changed)


def last_checks(*, box: EggBox, most: int) -> tuple[BoxCheck, ...]:
    """Return the last looks into a box, the newest first, struck-out ones too.

    One query.
    """
    rows = BoxCheck.objects.filter(box=box).select_related("recorded_by")
    return tuple(rows.order_by("-at", "-pk")[:most])
