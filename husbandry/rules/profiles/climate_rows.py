"""Rows about the climate, from their mappings."""

from decimal import Decimal

from husbandry.rules.profiles.scalars import Limits, limits
from husbandry.rules.profiles.scopes import Scope
from husbandry.rules.profiles.sourced_rows import Row
from husbandry.rules.profiles.values import Provenance, Target
from husbandry.rules.vocabulary import Period, Quantity, Reproduction, Sex, Zone

# Outside these no instrument is believed either (docs/sources.md, convention); a
# figure in °F does not pass for one in °C.
QUANTITY_LIMITS = {
    Quantity.TEMPERATURE_C: limits("-10", "60", "°C"),
    Quantity.HUMIDITY_PCT: limits("0", "100", "%"),
    Quantity.UV_INDEX: limits("0", "20", "(UV index)"),
}
MINUTES = limits("0", "1440", "minutes")


def read_target(row: Row) -> Target:
    """Read what is wanted of the climate at one spot."""
    quantity = row.word("quantity", Quantity)
    bounds = QUANTITY_LIMITS[quantity]
    low, high = (row.number_if_there(key, bounds) for key in ("low", "high"))
    hard_low, hard_high, hard_provenance = _hard_limits(row, bounds)
    minutes, tolerance_provenance = _tolerated(row)
    found = Target(
        id=row.identity(),
        quantity=quantity,
        zone=row.word("zone", Zone),
        period=row.word("period", Period),
        stages=row.stages(),
        sex=row.word_if_there("sex", Sex),
        reproduction=row.word_if_there("reproduction", Reproduction),
        low=low,
        high=high,
        hard_low=hard_low,
        hard_high=hard_high,
        tolerated_minutes=minutes,
        provenance=row.provenance(),
        others=row.others(bounds),
        hard_provenance=hard_provenance,
        tolerance_provenance=tolerance_provenance,
    )
    row.in_order("low", "high")
    _check_target(row, found)
    return found


def _hard_limits(
    row: Row, bounds: Limits
) -> tuple[Decimal | None, Decimal | None, Provenance | None]:
    hard = row.child("hard")
    if hard is None:
        return None, None, None
    low, high = (hard.number_if_there(key, bounds) for key in ("low", "high"))
    if hard.sound and low is None and high is None:
        hard.refuse("", "No hard limit is given; give low, high or both.")
    provenance = hard.provenance_if_there()
    hard.in_order("low", "high")
    hard.done()
    row.sound = row.sound and hard.sound
    return low, high, provenance


def _tolerated(row: Row) -> tuple[int, Provenance | None]:
    tolerated = row.child("tolerated")
    if tolerated is None:
        if not row.has("tolerated"):
            row.refuse(
                "",
                "The key 'tolerated' is missing; say how long outside the band at a "
                "stretch is put up with, such as tolerated: {minutes: 60}.",
            )
        return 0, None
    minutes = tolerated.whole("minutes", MINUTES)
    provenance = tolerated.provenance_if_there()
    tolerated.done()
    row.sound = row.sound and tolerated.sound
    return minutes, provenance


def _check_target(row: Row, found: Target) -> None:
    if not row.sound:
        return
    ends = [end for end in (found.low, found.high) if end is not None]
    if not ends:
        row.refuse("", "No band is given; give low, high or both.")
        return
    if found.hard_low is not None and found.hard_low > min(ends):
        row.refuse("hard", _inside("low", found.hard_low, "below", min(ends)))
    if found.hard_high is not None and found.hard_high < max(ends):
        row.refuse("hard", _inside("high", found.hard_high, "above", max(ends)))
    if found.zone is Zone.EGGS and found.scope != Scope():
        row.refuse(
            "zone",
            "Eggs have no stage, sex or reproductive state; leave those keys out.",
        )


def _inside(key: str, limit: Decimal, side: str, end: Decimal) -> str:
    return (
        f"The hard {key}, {limit}, lies inside the band; give {end} or {side} it, or "
        f"leave it out."
    )
