"""Read a file the way an importer does: propose, answer, parse."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.proposals import Proposal, propose_mapping
from husbandry.rules.loggers.readings import Parsed, parse_readings
from husbandry.rules.loggers.series import Readings
from husbandry.rules.loggers.sheet import Sheet, read_sheet
from husbandry.rules.loggers.vocabulary import DayOrder, Unit

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 12, 31, 12, tzinfo=UTC)


def as_bytes(data: bytes | str) -> bytes:
    return data.encode() if isinstance(data, str) else data


def sheet_of(data: bytes | str, *, encoding: str = "") -> Sheet:
    return read_sheet(as_bytes(data), name="invented.csv", encoding=encoding)


def propose(data: bytes | str, *, saved: Mapping | None = None) -> Proposal:
    return propose_mapping(sheet_of(data), saved=saved)


def parse(
    data: bytes | str,
    *,
    order: DayOrder | None = None,
    unit: Unit | None = None,
    zone: str = "",
    starts_on: date | None = None,
    site_zone: ZoneInfo = BERLIN,
    encoding: str = "",
) -> Parsed:
    sheet = sheet_of(data, encoding=encoding)
    mapping = propose_mapping(sheet, saved=None).mapping
    if order:
        mapping = mapping.with_day_order(order)
    if unit:
        mapping = mapping.with_unit(unit)
    if zone:
        mapping = mapping.with_zone(zone)
    return parse_readings(
        sheet, mapping, site_zone=site_zone, until=NOW, starts_on=starts_on
    )


def rows_of(readings: Readings) -> list[tuple[int, int, int]]:
    """Return instant, temperature and humidity of each reading."""
    columns = (
        readings.at, readings.temperature_milli_c, readings.humidity_milli_pct
    )  # fmt: skip
    return list(zip(*(column.tolist() for column in columns), strict=True))


def only(parsed: Parsed) -> list[tuple[int, int, int]]:
    """Return the rows of a file with a single channel."""
    (channel,) = parsed.channels
    return rows_of(channel)
