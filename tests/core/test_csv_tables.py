"""CSV by RFC 4180, read back by another reader."""

import csv
from datetime import date
from io import StringIO

import pytest

from core.csv_tables import as_csv


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text, newline="")))


def test_lines_end_and_quotes_are_doubled_as_the_standard_says() -> None:
    # RFC 4180: lines end with CRLF, a quote within a field is doubled.
    assert as_csv(["a", "b"], [['a"b', "c,d"], [None, date(2026, 3, 1)]]) == (
        'a,b\r\n"a""b","c,d"\r\n,2026-03-01\r\n'
    )


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@A1", "\tx", "\rx", "\nx"])
def test_no_text_is_taken_for_a_formula(text: str) -> None:
    [row] = read(as_csv(["a", "b"], [[text, "x"]]))

    assert row["a"] == f"'{text}"


def test_a_number_below_zero_stays_a_number() -> None:
    assert as_csv(["a"], [[-0.5]]) == "a\r\n-0.5\r\n"
