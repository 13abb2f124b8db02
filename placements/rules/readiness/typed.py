"""Readings that a home types: which of them can be, and what each problem is."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from husbandry.rules.loggers.numbers import RANGE_MILLI
from husbandry.rules.vocabulary import Quantity, Zone

# A clock may be this far ahead, as a logger's may.
AHEAD = timedelta(minutes=5)
# Where an animal is to live nobody looks at eggs.
ZONES = (Zone.BASKING, Zone.AMBIENT, Zone.COOL)


@dataclass(frozen=True, slots=True)
class TypedReading:
    """One value that somebody read off an instrument, in °C, % or UV index."""

    zone: Zone
    quantity: Quantity
    at: datetime
    value: Decimal


def milli_of(reading: TypedReading) -> int:
    """Return a value in thousandths, halves rounded up."""
    thousandths = (reading.value * 1000).quantize(Decimal(1), ROUND_HALF_UP)
    return int(thousandths)


def problem_of(
    reading: TypedReading, *, since: datetime, until: datetime
) -> str | None:
    """Return why a typed reading is not kept, or None where it is.

    Args:
        reading: as typed.
        since: what lies before is too old to tell anything of the enclosure.
        until: now.

    Source:
        sensor-bounds for what an instrument can show at all.
    """
    if reading.zone not in ZONES:
        named = ", ".join(zone.value for zone in ZONES)
        return f"{reading.zone.value} is no spot of a home's enclosure; give {named}."
    if reading.at > until + AHEAD:
        return (
            f"{reading.at:%Y-%m-%d %H:%M %Z} is still to come; give a time up to now."
        )
    if reading.at < since:
        return (
            f"{reading.at:%Y-%m-%d %H:%M %Z} is too long ago; give a time from "
            f"{since:%Y-%m-%d} on."
        )
    low, high = RANGE_MILLI[reading.quantity]
    if not reading.value.is_finite() or not low <= reading.value * 1000 <= high:
        return (
            f"{reading.value} is more than an instrument can show; give {low / 1000:g} "
            f"to {high / 1000:g}."
        )
    return None
