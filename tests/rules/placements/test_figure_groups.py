"""What figures are told apart by, which period they are asked of, and their tables."""

import csv
from dataclasses import replace
from datetime import UTC, date, datetime
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.figures.asking import MOST_DAYS, PeriodError, period_asked
from placements.rules.figures.exporting import (
    FIGURE_HEADINGS,
    census_as_csv,
    figures_as_csv,
    left_out_as_csv,
)
from placements.rules.figures.facts import LeftOut, LeftOutWhy, Period
from placements.rules.figures.grouping import FiguresBy, grouped_figures, pieces_of
from placements.rules.register.exporting import (
    HEADINGS,
    RegisterRow,
    register_as_csv,
)
from placements.rules.vocabulary import Direction, RegisterHow
from tests.rules.placements.test_movements import DAY, on
from tests.rules.placements.test_placement_figures import TODAY, YEAR, charge

DAYS = st.dates(date(2000, 1, 1), date(2026, 12, 31))


def test_a_period_is_cut_at_months_and_at_years() -> None:
    period = Period(date(2024, 11, 20), date(2025, 2, 3))

    assert list(pieces_of(period, by_year=False)) == [
        ("2024-11", Period(date(2024, 11, 20), date(2024, 11, 30))),
        ("2024-12", Period(date(2024, 12, 1), date(2024, 12, 31))),
        ("2025-01", Period(date(2025, 1, 1), date(2025, 1, 31))),
        ("2025-02", Period(date(2025, 2, 1), date(2025, 2, 3))),
    ]
    assert list(pieces_of(period, by_year=True)) == [
        ("2024", Period(date(2024, 11, 20), date(2024, 12, 31))),
        ("2025", Period(date(2025, 1, 1), date(2025, 2, 3))),
    ]


@given(DAYS, st.integers(0, 900), st.booleans())
def test_the_pieces_hold_each_day_once(first: date, days: int, by_year: bool) -> None:
    period = Period(first, date.fromordinal(first.toordinal() + days))

    pieces = [piece for _, piece in pieces_of(period, by_year=by_year)]

    assert sum(piece.days for piece in pieces) == period.days
    assert (pieces[0].first_on, pieces[-1].last_on) == (first, period.last_on)


def test_groups_by_species_and_by_how_they_came() -> None:
    of = [
        *(charge(0, 9), charge(1, None, came="stray")),
        charge(2, None, species="panther"),
    ]

    def counts(by: FiguresBy) -> dict[str, int]:
        groups = grouped_figures(of, by=by, period=YEAR, on=TODAY)
        return {name: sum(f.intakes.values()) for name, f in groups.items()}

    assert counts(FiguresBy.ALL) == {"all": 3}
    assert counts(FiguresBy.SPECIES) == {"panther": 1, "veiled": 2}
    assert counts(FiguresBy.SOURCE) == {"stray": 1, "surrender": 2}
    assert counts(FiguresBy.YEAR) == {"2025": 3}


def test_of_nobody_there_is_one_empty_group_or_none() -> None:
    def names(by: FiguresBy) -> list[str]:
        return list(grouped_figures([], by=by, period=YEAR, on=TODAY))

    assert (names(FiguresBy.ALL), names(FiguresBy.SPECIES)) == (["all"], [])


@pytest.mark.parametrize(
    ("first", "last", "found"),
    [
        (None, None, (date(2024, 4, 11), date(2025, 4, 11))),
        (None, date(2024, 12, 31), (date(2024, 1, 2), date(2024, 12, 31))),
        (TODAY, TODAY, (TODAY, TODAY)),
        (date(1970, 1, 1), date(1970, 1, 1), (date(1970, 1, 1),) * 2),
    ],
)
def test_the_period_that_is_asked(
    first: date | None, last: date | None, found: tuple[date, date]
) -> None:
    period = period_asked(first, last, on=TODAY)

    expected = Period(*found)
    if first is None:
        assert period.days == 365
        assert period.last_on == expected.last_on
    else:
        assert period == expected


@pytest.mark.parametrize(
    ("first", "last", "field"),
    [
        (None, on(101), "until_on"),
        (on(5), on(4), "until_on"),
        (date(1969, 12, 31), on(4), "from_on"),
        (date.fromordinal(TODAY.toordinal() - MOST_DAYS), TODAY, "from_on"),
    ],
)
def test_a_period_that_cannot_be(first: date | None, last: date, field: str) -> None:
    with pytest.raises(PeriodError) as refused:
        period_asked(first, last, on=TODAY)

    assert list(refused.value.fields) == [field]


def test_the_longest_period_is_accepted() -> None:
    first = date.fromordinal(TODAY.toordinal() - MOST_DAYS + 1)

    assert period_asked(first, TODAY, on=TODAY).days == MOST_DAYS


def read(text: str) -> list[dict[str, str]]:
    assert text.endswith("\r\n")
    return list(csv.DictReader(StringIO(text, newline="")))


def test_figures_as_a_table() -> None:
    of = [
        *(charge(0, 10), charge(1, 11, outcome="put_to_sleep", came="stray")),
        charge(50, 50, outcome="death"),
    ]

    (line,) = read(
        figures_as_csv(grouped_figures(of, by=FiguresBy.ALL, period=YEAR, on=TODAY))
    )

    assert tuple(line) == FIGURE_HEADINGS
    assert len(set(FIGURE_HEADINGS)) == len(FIGURE_HEADINGS)
    told = {name: value for name, value in line.items() if value not in ("", "0")}
    assert (told["group"], told["first_on"], told["last_on"], told["days"]) == (
        *("all", "2025-01-01", "2025-04-11"),
        "101",
    )
    assert (told["intake_surrender"], told["intake_stray"]) == ("2", "1")
    assert (told["outcome_adoption"], told["outcome_death"]) == ("1", "1")
    assert (told["live_outcomes"], told["accord_outcomes"]) == ("1", "2")
    assert float(told["live_by_intake"]) == pytest.approx(1 / 3)
    assert (told["animal_days"], told["exits"], told["stay_days"]) == ("21", "3", "7")
    assert (told["ready_animal_days"], told["ready_began"]) == ("21", "3")
    assert (told["ready_median"], told["stay_median"]) == ("10", "10")


def test_of_nobody_the_table_leaves_open_what_is_not_known() -> None:
    (line,) = read(
        figures_as_csv(grouped_figures([], by=FiguresBy.ALL, period=YEAR, on=TODAY))
    )

    unknown = {name for name, value in line.items() if value == ""}
    assert unknown == {
        *("accord_low", "accord_high", "live_by_intake", "stay_days"),
        *("left_days_mean", "left_days_median", "stay_median", "capacity_needed"),
        *("came_back_low", "came_back_high"),
        *(f"{stage}_median" for stage in ("quarantine", "ready", "planned", "away")),
    }


def test_the_census_and_what_is_left_out_as_tables() -> None:
    groups = grouped_figures(
        [charge(0, 1)], by=FiguresBy.ALL, period=Period(on(0), on(1)), on=TODAY
    )
    assert census_as_csv(groups["all"].census) == (
        "on,in_charge,here,away\r\n2025-01-01,1,1,0\r\n2025-01-02,0,0,0\r\n"
    )
    out = LeftOut("=V-1", on(3), None, LeftOutWhy.OPEN)
    assert left_out_as_csv([out]) == (
        "animal,first_on,last_on,why\r\n'=V-1,2025-01-04,,open\r\n"
    )


LINE = RegisterRow(
    id=1,
    number=1,
    on=DAY,
    direction=Direction.LEFT,
    how=RegisterHow.ADOPTION,
    animal=7,
    code="V-7",
    scientific_name="Chamaeleo calyptratus",
    sex="female",
    hatched_on="",
    microchip="",
    dam="",
    sire="",
    cites_sources=("C", "F"),
    papers=("ownership 1", "other 2"),
    whom='@Household "Sorrel", senior',
    contact="9 Hidden Lane\n+351 000",
    place="",
    corrects=None,
    corrected_by=None,
    strikes=None,
    note="",
    entered_at=datetime(2025, 1, 2, tzinfo=UTC),
    entered_by="",
)


def test_the_register_as_a_table() -> None:
    text = register_as_csv([LINE, replace(LINE, whom="(erased)", contact="")])

    first, second = read(text)
    assert tuple(first) == HEADINGS
    # A quote is doubled, a comma and a new line stand within quotes (RFC 4180).
    assert '"\'@Household ""Sorrel"", senior"' in text
    assert first["contact"] == "9 Hidden Lane\n+351 000"
    assert (first["cites_sources"], first["papers"]) == ("C F", "ownership 1; other 2")
    assert first["entered_at"] == "2025-01-02T00:00:00+00:00"
    assert second["from_or_to"] == "(erased)"
