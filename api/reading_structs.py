"""What a batch of readings looks like, in JSON and in msgpack alike."""

from datetime import datetime
from typing import Annotated

from msgspec import Meta

from api.structs import In

MOST_ROWS = 50_000
LAST_SECOND = 7_258_118_399  # 2199-12-31T23:59:59Z

Seconds = Annotated[int, Meta(ge=0, le=LAST_SECOND)]
Moment = Annotated[
    Seconds | Annotated[datetime, Meta(tz=True)],
    Meta(description="ISO 8601 with an offset, or whole seconds since 1970 UTC."),
]
Celsius = Annotated[float | None, Meta(description="°C.")]
Percent = Annotated[float | None, Meta(description="Relative humidity, %.")]
UvIndex = Annotated[float | None, Meta(description="UV index.")]
CODE = "Code of the probe, as on its label."
VALUES = ("temperature_c", "humidity_pct", "uv_index")


class ReadingIn(In, frozen=True):
    """What a probe measured at one instant; null or left out: not measured then."""

    probe: Annotated[str, Meta(description=CODE)]
    at: Moment
    temperature_c: Celsius = None
    humidity_pct: Percent = None
    uv_index: UvIndex = None


class ReadingRowsIn(In, frozen=True):
    """Readings of any probes, one by one; at most 50,000."""

    readings: Annotated[list[ReadingIn], Meta(min_length=1, max_length=MOST_ROWS)]


class ReadingColumnsIn(In, frozen=True):
    """Readings of one probe as columns of one length; at most 50,000."""

    probe: Annotated[str, Meta(description=CODE)]
    at: Annotated[list[Moment], Meta(min_length=1, max_length=MOST_ROWS)]
    temperature_c: list[Celsius] | None = None
    humidity_pct: list[Percent] | None = None
    uv_index: list[UvIndex] | None = None


NdjsonIn = Annotated[
    str,
    Meta(
        description="One `ReadingIn` a line, in UTF-8; empty lines are passed over.",
        examples=[
            '{"probe": "P-001", "at": 1772409600, "temperature_c": 24.3}\n'
            '{"probe": "P-002", "at": 1772409600, "humidity_pct": 61}\n'
        ],
        extra_json_schema={"contentMediaType": "application/x-ndjson"},
    ),
]
CsvIn = Annotated[
    str,
    Meta(
        description="RFC 4180 in UTF-8, with a header: `probe` and `at`, and any of "
        "`temperature_c`, `humidity_pct` and `uv_index`, in any order. An empty cell: "
        "not measured then.",
        examples=["probe,at,temperature_c\r\nP-001,1772409600,24.3\r\n"],
        extra_json_schema={"contentMediaType": "text/csv"},
    ),
]
