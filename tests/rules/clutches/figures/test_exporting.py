"""CSV by RFC 4180, read back by another reader."""

import csv
from dataclasses import replace
from datetime import date
from io import StringIO

import pytest

from clutches.rules.figures.counting import figures_of
from clutches.rules.figures.exporting import (
    EGG_HEADINGS,
    GROUP_HEADINGS,
    as_csv,
    eggs_as_csv,
    groups_as_csv,
)
from clutches.rules.figures.facts import BreedingRows
from tests.rules.clutches.figures.made import EGGS, ONE, clutch, young


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


def test_groups_are_read_back() -> None:
    [row] = read(groups_as_csv({"V-1 × V-2": figures_of(ONE)}))

    assert list(row) == list(GROUP_HEADINGS)
    assert (row["group"], row["hatched"], row["ended"]) == ("V-1 × V-2", "2", "5")
    assert (row["fertile"], row["fertility_judged"]) == ("4", "7")
    assert (row["incubating"], row["hatch_days_median"]) == ("1", "203")
    assert (row["sex_p"], row["survival_30_days"]) == ("", "")


def test_nothing_has_no_interval() -> None:
    nothing = figures_of(BreedingRows((), (), ()))

    [row] = read(groups_as_csv({"all": nothing}))

    assert (row["hatched"], row["ended"], row["hatch_rate_low"]) == ("0", "0", "")


def test_every_egg_and_every_young_without_one_is_a_line() -> None:
    eggs = (replace(EGGS[0], hatchling=7), *EGGS[1:])
    rows = BreedingRows((clutch(1),), eggs, (young(7, 30), young(8, 20)))

    lines = read(eggs_as_csv(rows))

    assert list(lines[0]) == list(EGG_HEADINGS)
    assert len(lines) == len(EGGS) + 1
    first, last = lines[0], lines[-1]
    assert (first["egg"], first["hatchling"], first["days"]) == ("1", "V-7", "200")
    assert (first["mass_g"], first["sex"]) == ("1.10", "female")
    assert (last["egg"], last["hatchling"], last["watched_days"]) == ("", "V-8", "20")
