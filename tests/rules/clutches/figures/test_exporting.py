"""Figures as CSV, read back by another reader."""

import csv
from dataclasses import replace
from io import StringIO

from clutches.rules.figures.counting import figures_of
from clutches.rules.figures.exporting import (
    EGG_HEADINGS,
    GROUP_HEADINGS,
    eggs_as_csv,
    groups_as_csv,
)
from clutches.rules.figures.facts import BreedingRows
from tests.rules.clutches.figures.made import EGGS, ONE, clutch, young


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text, newline="")))


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
