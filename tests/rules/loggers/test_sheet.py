"""From bytes to rows of cells."""

import pytest

from husbandry.rules.loggers.sheet import read_sheet
from husbandry.rules.loggers.tables import split
from tests.rules.loggers.reading import sheet_of


def test_sheet_keeps_titles_headings_and_line_numbers() -> None:
    text = "Report\n\nSerial;7\nTime;Temp °C;Note;\n\n2026-03-13 10:00;20,5;;\n2026-03-13 10:10;20,6\n"

    sheet = read_sheet(text.encode(), name="a.csv")

    assert (sheet.name, sheet.encoding, sheet.delimiter) == ("a.csv", "utf-8", ";")
    assert sheet.preamble == ("Report", "Serial;7")
    assert (sheet.header, sheet.header_line) == (("Time", "Temp °C", "Note"), 4)
    assert sheet.lines == (6, 7)
    assert sheet.column(1) == ["20,5", "20,6"]
    assert sheet.column(2) == ["", ""]


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ('a,"b,c",d', (("a", "b,c", "d"),)),
        ('"a""b",c', (('a"b', "c"),)),
        ('"a\nb",c\nd,e', (("a\nb", "c"), ("d", "e"))),
        ("a,b\nc,d\n", (("a", "b"), ("c", "d"))),
        ("a,,c\n", (("a", "", "c"),)),
    ],
)
def test_quoting_is_that_of_rfc_4180(
    text: str, rows: tuple[tuple[str, ...], ...]
) -> None:
    """RFC 4180 section 2: commas, doubled quotes and line ends inside quotes."""
    assert split(text, ",").rows == rows


def test_line_number_is_that_of_the_first_line_of_a_row() -> None:
    assert split('x,"a\nb"\nd,e\n\nf,g', ",").lines == (1, 3, 5)


def test_longest_cell_is_three_lines() -> None:
    assert split('x,"a\nb\nc"\n', ",").rows == (("x", "a\nb\nc"),)


def test_missing_heading_of_an_index_column_is_empty() -> None:
    sheet = sheet_of(
        '"date","T"\n"1","2026-03-13 10:00",20\n"2","2026-03-13 10:10",21\n'
    )

    assert sheet.header == ("", "date", "T")
    assert sheet.label(0) == "column 1"


def test_bytes_undefined_in_windows_1252_stay_out_of_the_numbers() -> None:
    sheet = sheet_of(b"Time;Temp (\xb0C);\x81\n2026-03-13 10:00;20.5;1\n")

    assert sheet.encoding == "cp1252"
    assert sheet.header == ("Time", "Temp (°C)", "\ufffd")
