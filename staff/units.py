"""Values as the reader reads them: in the chosen unit, at the site's clock."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from core.charts.scales import MONTHS
from core.models import User
from core.units import MassUnit, TemperatureUnit
from husbandry.rules.sentences.numbers import Units

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def units_of(reader: User) -> Units:
    """Return the units that a person chose."""
    return Units(TemperatureUnit(reader.temperature_unit), MassUnit(reader.mass_unit))


def day(on: date) -> str:
    """Return a date that cannot be misread: `12 Mar 2027`."""
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def weekday(on: date) -> str:
    """Return a date with its day of the week: `Fri 12 Mar 2027`."""
    return f"{WEEKDAYS[on.weekday()]} {day(on)}"


def clock(at: datetime, zone: ZoneInfo) -> str:
    """Return an instant by a site's clock: `Fri 12 Mar 2027 at 06:20`."""
    local = at.astimezone(zone)
    return f"{weekday(local.date())} at {local:%H:%M}"


def count(number: int, one: str, many: str = "") -> str:
    """Return a number with its word: `1 animal`, `3 animals`."""
    return f"{number:,} {one if number == 1 else many or one + 's'}".replace(
        ",", "\u202f"
    )
