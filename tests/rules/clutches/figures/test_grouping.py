"""Every egg and hatchling falls into one group of each kind."""

from dataclasses import replace

import pytest

from clutches.rules.figures.comparing import compare_survival
from clutches.rules.figures.facts import BreedingRows
from clutches.rules.figures.grouping import (
    GroupBy,
    grouped,
    pair_name,
    temperature_name,
)
from husbandry.rules.vocabulary import AnimalStatus
from tests.rules.clutches.figures.made import EGGS, LAID, clutch, egg, young

TWO = BreedingRows(
    clutches=(
        clutch(1),
        clutch(2, dam="V-3", sires=("V-2", "V-4"), laid_on=LAID.replace(year=2025)),
    ),
    eggs=(*EGGS, egg(1, clutch=2, incubator="I-2", mean_c=28.0)),
    hatchlings=(young(1, 5), young(2, 5, clutch=2, incubator="", mean_c=None)),
)


@pytest.mark.parametrize(
    ("by", "names"),
    [
        (GroupBy.ALL, ["all"]),
        (GroupBy.CLUTCH, ["C-1", "C-2"]),
        (GroupBy.PAIR, ["V-1 × V-2", "V-3 × V-2 or V-4"]),
        (GroupBy.DAM, ["V-1", "V-3"]),
        (GroupBy.YEAR, ["2025", "2026"]),
        (GroupBy.SPECIES, ["veiled_chameleon"]),
        (GroupBy.INCUBATOR, ["I-1", "I-2", "not known"]),
        (
            GroupBy.TEMPERATURE,
            ["26–27 °C", "28–29 °C", "measured for less than half the time"],
        ),
    ],
)
def test_groups_have_names(by: GroupBy, names: list[str]) -> None:
    assert list(grouped(TWO, by)) == names


@pytest.mark.parametrize("by", GroupBy)
def test_nothing_is_lost_or_counted_twice(by: GroupBy) -> None:
    groups = grouped(TWO, by).values()

    assert sum(len(g.eggs) for g in groups) == len(TWO.eggs)
    assert sum(len(g.hatchlings) for g in groups) == len(TWO.hatchlings)


def test_what_was_infertile_at_laying_was_in_no_incubator() -> None:
    [first, second, _] = grouped(TWO, GroupBy.INCUBATOR).values()

    assert [(c.code, c.eggs_set, c.infertile) for c in first.clutches] == [
        ("C-1", 6, 0)
    ]
    assert [(c.code, c.eggs_set, c.broken) for c in second.clutches] == [("C-2", 1, 0)]


def test_unknown_parents_say_so() -> None:
    assert pair_name(clutch(1, dam="", sires=())) == "not known × not known"


@pytest.mark.parametrize(
    ("mean_c", "name"),
    [
        (None, "measured for less than half the time"),
        (26.0, "26–27 °C"),
        (26.999, "26–27 °C"),
        (27.0, "27–28 °C"),
    ],
)
def test_a_mean_falls_into_a_whole_degree(mean_c: float | None, name: str) -> None:
    assert temperature_name(mean_c, 1.0) == name


@pytest.mark.parametrize(
    ("measured", "name"),
    [(0.5, "26–27 °C"), (0.49, "measured for less than half the time")],
)
def test_a_mean_of_few_hours_names_no_degree(measured: float, name: str) -> None:
    assert temperature_name(26.4, measured) == name


def test_small_groups_are_left_out_of_a_comparison() -> None:
    few = replace(TWO, hatchlings=tuple(young(n, 5) for n in range(4)))
    many = replace(TWO, hatchlings=tuple(young(n, 5) for n in range(5)))
    dying = replace(
        TWO,
        hatchlings=tuple(young(n, n, AnimalStatus.DEAD) for n in range(1, 6)),
    )

    assert compare_survival({"a": many, "b": few}).comparison is None
    found = compare_survival({"a": many, "b": few, "c": dying})
    assert (found.groups, found.left_out) == (("a", "c"), ("b",))
    assert found.comparison is not None
    assert found.comparison.observed == (0, 5)
