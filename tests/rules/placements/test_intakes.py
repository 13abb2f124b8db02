"""Deliveries that cannot have been, chips, and species that nobody is sure of."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.microchips import MicrochipError
from husbandry.rules.vocabulary import AnimalStatus, FindingKind, Urgency
from placements.rules.intakes import (
    Delivery,
    IntakeError,
    Problem,
    UnsureSpecies,
    assess_unsure,
    check_delivery,
    refused,
)
from placements.rules.newcomers import (
    KnownAnimal,
    Newcomer,
    Records,
    check_newcomers,
    chip_digits,
)
from placements.rules.vocabulary import ChipScan, IntakeSource

TODAY = date(2026, 3, 2)
CHIP = "620098100000001"


@pytest.mark.parametrize(
    ("days", "urgency"),
    [
        (0, Urgency.WATCH),
        (1, Urgency.WATCH),
        (2, Urgency.TODAY),
        (40, Urgency.TODAY),
    ],
)
def test_an_unsure_species_is_watched_for_two_days(days: int, urgency: Urgency) -> None:
    fact = UnsureSpecies(4, TODAY - timedelta(days=days), "some lizard")

    (found,) = assess_unsure([fact], TODAY)

    assert (found.kind, found.urgency, found.animal) == (
        FindingKind.SPECIES_UNSURE,
        urgency,
        4,
    )
    assert found.facts == {
        "told": "some lizard",
        "since_on": (TODAY - timedelta(days=days)).isoformat(),
        "days": days,
    }


def test_nobody_is_told_where_all_species_are_sure() -> None:
    assert list(assess_unsure([], TODAY)) == []


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("", ""),
        ("  ", ""),
        (CHIP, CHIP),
        ("620 098-100.000 001", CHIP),
        ("0123456789", "0123456789"),
    ],
)
def test_a_chip_is_its_digits(text: str, digits: str) -> None:
    assert chip_digits(text) == digits


@pytest.mark.parametrize("text", ["12", "62009810000000X", "999123456789012"])
def test_what_no_chip_carries_is_refused(text: str) -> None:
    with pytest.raises(MicrochipError):
        chip_digits(text)


@pytest.mark.parametrize("source", list(IntakeSource))
def test_a_delivery_as_it_may_be(source: IntakeSource) -> None:
    somebody = source is not IntakeSource.BORN_HERE
    check_delivery(Delivery(source, somebody, "at the river", TODAY, TODAY, 1))
    check_delivery(Delivery(source, somebody, "x" * 200, TODAY, TODAY, 60))


@pytest.mark.parametrize(
    ("source", "somebody", "found_at", "on", "animals", "field"),
    [
        (IntakeSource.SURRENDER, True, "", TODAY + timedelta(1), 1, "arrived_at"),
        (IntakeSource.SURRENDER, True, "", TODAY, 0, "animals"),
        (IntakeSource.SURRENDER, True, "", TODAY, 61, "animals"),
        (IntakeSource.TRANSFER_IN, False, "", TODAY, 1, "home"),
        (IntakeSource.BOUGHT, False, "", TODAY, 1, "home"),
        (IntakeSource.LENT_TO_US, False, "", TODAY, 1, "home"),
        (IntakeSource.BORN_HERE, True, "", TODAY, 1, "home"),
        (IntakeSource.STRAY, False, " ", TODAY, 1, "found_at"),
        (IntakeSource.STRAY, False, "x" * 201, TODAY, 1, "found_at"),
    ],
)
def test_a_delivery_that_cannot_have_been(
    source: IntakeSource,
    somebody: bool,
    found_at: str,
    on: date,
    animals: int,
    field: str,
) -> None:
    with pytest.raises(IntakeError) as refusal:
        check_delivery(Delivery(source, somebody, found_at, on, TODAY, animals))

    assert list(refusal.value.fields) == [field]


def known(
    code: str, status: AnimalStatus = AnimalStatus.PLACED, chip: str = ""
) -> KnownAnimal:
    left_on = None if status is AnimalStatus.IN_CARE else date(2026, 2, 20)
    return KnownAnimal(
        1, code, f"{code} Rango", status, date(2025, 1, 1), left_on, chip
    )


def newcomer(code: str = "V-1", **said: object) -> Newcomer:
    asked = {
        "code": code,
        "again": False,
        "chip": "",
        "scan": ChipScan.NONE_FOUND,
        "species_known": True,
        "species_sure": True,
    } | said
    return Newcomer(**asked)  # type: ignore[arg-type]  # spelled out above


def problems(
    *newcomers: Newcomer,
    records: tuple[KnownAnimal, ...] = (),
    source: IntakeSource = IntakeSource.SURRENDER,
) -> list[tuple[int, str]]:
    found = check_newcomers(
        newcomers,
        records=Records(
            {one.code: one for one in records},
            {one.microchip: one for one in records if one.microchip},
        ),
        source=source,
        arrived_on=TODAY,
        today=TODAY,
    )
    return [(problem.line, problem.field) for problem in found]


READ = {"chip": CHIP, "scan": ChipScan.READ}


@pytest.mark.parametrize(
    ("said", "records", "source", "expected"),
    [
        ({}, (), IntakeSource.SURRENDER, []),
        (READ, (), IntakeSource.SURRENDER, []),
        ({"species_known": False, "species_sure": False}, (), None, []),
        ({"species_known": False}, (), None, ["species"]),
        ({"species_told": "x" * 120}, (), None, []),
        ({"species_told": "x" * 121}, (), None, ["species_told"]),
        ({"code": "x" * 20}, (), None, []),
        ({"code": "x" * 21}, (), None, ["code"]),
        ({}, (known("V-1"),), None, ["code"]),
        ({"again": True}, (known("V-1"),), None, []),
        ({"again": True}, (), None, ["code"]),
        ({"again": True, "species_known": False}, (known("V-1"),), None, []),
        ({"again": True, "said_anew": ("sex",)}, (known("V-1"),), None, ["sex"]),
        ({"again": True, **READ}, (known("V-1", chip=CHIP),), None, []),
        (
            {"again": True, **READ},
            (known("V-1", chip="0123456789"),),
            None,
            ["microchip"],
        ),
        (READ, (known("V-7", chip=CHIP),), None, ["microchip"]),
        ({"chip": "12"}, (), None, ["microchip"]),
        ({"chip": CHIP}, (), None, ["chip_scan"]),
        ({"scan": ChipScan.READ}, (), None, ["chip_scan"]),
        ({}, (), IntakeSource.RETURN, ["code"]),
        ({"again": True}, (known("V-1"),), IntakeSource.RETURN, []),
        ({"again": True}, (known("V-1"),), IntakeSource.BORN_HERE, ["code"]),
        ({"again": True}, (known("V-1", AnimalStatus.IN_CARE),), None, ["code"]),
        ({"again": True}, (known("V-1", AnimalStatus.DEAD),), None, ["code"]),
        ({"again": True}, (known("V-1", AnimalStatus.ELSEWHERE),), None, []),
    ],
)
def test_one_animal(
    said: dict[str, object],
    records: tuple[KnownAnimal, ...],
    source: IntakeSource | None,
    expected: list[str],
) -> None:
    found = problems(
        newcomer(**said),
        records=records,
        source=source or IntakeSource.SURRENDER,
    )

    assert found == [(0, field) for field in expected]


def test_no_animals_no_problems() -> None:
    assert problems() == []


def test_all_that_is_wrong_is_said_at_once_by_its_line() -> None:
    found = problems(newcomer(), newcomer("V-2", **READ), newcomer("V-2", **READ))

    assert found == [
        (1, "code"),
        (1, "microchip"),
        (2, "code"),
        (2, "microchip"),
    ]


@pytest.mark.parametrize(
    ("status", "said"),
    [
        (AnimalStatus.IN_CARE, "in care since 01 Jan 2025"),
        (AnimalStatus.ELSEWHERE, "on record as an ancestor"),
        (AnimalStatus.LOST, "lost since 20 Feb 2026"),
    ],
)
def test_an_animal_that_was_here_is_named_with_where_it_is(
    status: AnimalStatus, said: str
) -> None:
    (problem,) = check_newcomers(
        [newcomer(**READ)],
        records=Records({}, {CHIP: known("V-7", status, CHIP)}),
        source=IntakeSource.SURRENDER,
        arrived_on=TODAY,
        today=TODAY,
    )

    assert said in problem.sentence
    assert problem.accepted == "V-7, here before"


def test_a_refusal_names_each_line_from_one_on() -> None:
    refusal = refused(
        [Problem(2, "", "b.", "x"), Problem(0, "code", "a.", "y")], ["V-1", "V-2", ""]
    )

    assert refusal.sentence == "Animal 1 (V-1): a.\nAnimal 3 (no code): b."
    assert refusal.fields == {"animals[0].code": "y", "animals[2]": "x"}


@given(st.lists(st.sampled_from(["V-1", "V-2", "V-3"]), max_size=6))
def test_a_code_that_is_given_once_is_never_called_twice(codes: list[str]) -> None:
    found = {line for line, _ in problems(*(newcomer(code) for code in codes))}

    assert found == {n for n, code in enumerate(codes) if codes.count(code) > 1}
