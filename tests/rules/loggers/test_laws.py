"""Laws: whatever the dialect, the readings come back exactly."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from husbandry.rules.loggers.tables import choose_delimiter
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder
from tests.rules.loggers.reading import only, parse

FIRST_S = 1767225600
"""2026-01-01 00:00 UTC."""
FORMS = {
    "%Y-%m-%d %H:%M:%S": DayOrder.PLAIN,
    "%Y-%m-%dT%H:%M:%S": DayOrder.PLAIN,
    "%d.%m.%Y %H.%M.%S": DayOrder.DMY,
    "%d/%m/%Y %I:%M:%S %p": DayOrder.DMY,
    "%m/%d/%Y %I:%M:%S %p": DayOrder.MDY,
    "%d %b %Y %H:%M:%S": DayOrder.PLAIN,
    "%H:%M:%S %d-%m-%Y": DayOrder.DMY,
}


@dataclass(frozen=True)
class Dialect:
    form: str
    delimiter: str
    decimal: str
    fahrenheit: bool
    encoding: str
    line_end: str
    titles: int


dialects = st.builds(
    Dialect,
    form=st.sampled_from(sorted(FORMS)),
    delimiter=st.sampled_from([";", "\t", "|", ","]),
    decimal=st.sampled_from([".", ","]),
    fahrenheit=st.booleans(),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    titles=st.integers(0, 3),
)
# Thousandths of °C that are whole tenths of °F too, so that both scales are exact.
rows = st.lists(
    st.tuples(
        st.integers(0, 250 * 86_400), st.integers(-50, 100), st.integers(0, 100_000)
    ),
    min_size=1,
    max_size=40,
    unique_by=lambda row: row[0],
)


def write(series: list[tuple[int, int, int]], dialect: Dialect) -> bytes:
    unit = "°F" if dialect.fahrenheit else "°C"
    lines = [f"Title {n}" for n in range(dialect.titles)]
    lines.append(
        dialect.delimiter.join(("Time (UTC)", f"Temp ({unit})", "Humidity (%)"))
    )
    for at, half_c, humidity in series:
        stamp = datetime.fromtimestamp(at, tz=UTC).strftime(dialect.form)
        shown = half_c * 0.5 * 1.8 + 32 if dialect.fahrenheit else half_c * 0.5
        numbers = (f"{shown:.1f}", f"{humidity / 1000:.3f}")
        cells = [stamp, *(number.replace(".", dialect.decimal) for number in numbers)]
        if dialect.delimiter == dialect.decimal == ",":
            cells = [f'"{cell}"' for cell in cells]
        lines.append(dialect.delimiter.join(cells))
    return (dialect.line_end.join(lines) + dialect.line_end).encode(dialect.encoding)


def expected(series: list[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    return [(at, half_c * 500, humidity) for at, half_c, humidity in sorted(series)]


@settings(max_examples=150, deadline=None)
@given(rows, dialects)
def test_series_survives_any_dialect(
    offsets: list[tuple[int, int, int]], dialect: Dialect
) -> None:
    series = [(FIRST_S + seconds, *values) for seconds, *values in offsets]

    parsed = parse(write(series, dialect), order=FORMS[dialect.form])

    assert only(parsed) == expected(series)
    assert parsed.refused == ()


@settings(max_examples=60, deadline=None)
@given(rows, dialects, st.integers(0, 2**32))
def test_order_and_repetition_of_rows_do_not_matter(
    offsets: list[tuple[int, int, int]], dialect: Dialect, seed: int
) -> None:
    series = [(FIRST_S + seconds, *values) for seconds, *values in offsets]
    shuffled = series * 2
    Random(seed).shuffle(shuffled)

    parsed = parse(
        write(shuffled[:] if len(series) > 9 else series, dialect),
        order=FORMS[dialect.form],
    )

    assert only(parsed) == expected(series)


def outcome(text: str | bytes) -> str:
    """Parse whatever it is; return how it ended, having checked that rows add up."""
    try:
        parsed = parse(text, order=DayOrder.DMY)
    except UntrustedFileError as error:
        return error.sentence
    others = parsed.rows_refused + parsed.rows_events + parsed.rows_without_value
    assert parsed.rows_read == parsed.rows_used + others
    return "parsed"


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    assert outcome(data)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.text("0123456789.,;:/- \tTAPMCF°%\"'\x00ünaN\n", max_size=60), max_size=12
    )
)
def test_any_text_is_parsed_or_refused(lines: list[str]) -> None:
    head = "Time;Temp (°C);RH (%)\n2026-03-13 10:00;20.5;50\n"

    assert "{" not in outcome(head + "\n".join(lines)).replace("{'", "")


@given(st.sampled_from([";", "\t", "|", ","]), st.integers(2, 30))
def test_delimiter_is_that_of_the_writer(delimiter: str, count: int) -> None:
    start = datetime(2026, 1, 1, tzinfo=UTC)
    lines = [
        delimiter.join(
            (f"{start + timedelta(hours=n):%d.%m.%Y %H:%M}", f"2{n}.5", "50")
        )
        for n in range(count)
    ]

    assert choose_delimiter("\n".join(lines)) == delimiter
