"""Young that are taken in together: codes, masses, places."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from husbandry.rules.arrivals import Housed, Nursery, Young, check_young
from husbandry.rules.profiles.values import CompanyRule, IncubationRule, Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.stays import Destination, Occupant
from husbandry.rules.vocabulary import Standing

ON = date(2026, 8, 1)
SAID = Provenance("ballen-2014", Standing.PUBLISHED, date(2026, 1, 1))
# Ballen and others 2014 raised hatchlings in fours for two months.
FOURS = CompanyRule(
    id="c",
    stages=(),
    alone=False,
    max_group=4,
    no_sight_of_others=False,
    provenance=SAID,
)
# From memory: most hatchlings weigh 0.5 to 1.5 g; 0.3 to 2.5 g is not asked about.
MASSES = IncubationRule(
    id="m",
    matter=IncubationMatter.HATCHLING_MASS_G,
    low=Decimal("0.3"),
    high=Decimal("2.5"),
    text="",
    provenance=SAID,
)
NURSERY = Nursery(
    species=1,
    taken=frozenset({"C-1-01"}),
    masses=MASSES,
    company=FOURS,
    enclosures={
        5: Destination(5, "N-1", None),
        6: Destination(6, "N-2", date(2026, 7, 1)),
    },
    occupants={},
)
ONE = Young("egg 2 of C-1", "C-1-02", "", Decimal("1.1"), confirmed=False, to=5)


def young(many: int, **given: Any) -> list[Young]:
    return [replace(ONE, code=f"C-1-{n + 2:02d}", **given) for n in range(many)]


def check(many: list[Young], nursery: Nursery = NURSERY) -> tuple[Housed, list[str]]:
    return check_young(many, nursery=nursery, on=ON)


def test_four_share_and_each_has_a_place() -> None:
    housed, wrong = check(young(4))

    assert wrong == []
    assert housed == Housed((1, 2, 3, 4), ())


def test_a_fifth_is_too_many_and_told_once() -> None:
    _, wrong = check(young(7))

    assert len(wrong) == 1
    assert wrong[0].startswith("N-1 would hold more than may live together")
    assert "allows 4" in wrong[0]


def test_who_lived_there_alone_gets_a_place() -> None:
    there = [Occupant(90, "C-0-01", 1, None, FOURS)]
    housed, wrong = check(young(1), replace(NURSERY, occupants={5: there}))

    assert wrong == []
    assert housed == Housed((2,), ((90, 1),))


def test_alone_where_the_profile_says_nothing() -> None:
    alone = replace(NURSERY, company=None)

    assert check(young(1), alone)[0] == Housed((None,), ())
    assert "allows 1" in check(young(2), alone)[1][0]


def test_nowhere_is_no_place() -> None:
    assert check(young(9, to=None))[0].places == (None,) * 9


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"code": "C-1-01"}, "there is an animal C-1-01 already"),
        ({"code": " "}, "is no code for an animal"),
        ({"mass_g": Decimal("2.51")}, "2.51 g is not plausible"),
        ({"mass_g": Decimal("0.29")}, "0.3 to 2.5 g would be"),
        ({"mass_g": Decimal(-1)}, "cannot be"),
        ({"to": 6}, "N-2 was retired on 01 Jul 2026"),
        ({"name": "x" * 81}, "longer than 80"),
    ],
)
def test_what_is_wrong_is_said_with_its_egg(given: dict[str, Any], said: str) -> None:
    _, wrong = check([replace(ONE, **given)])

    assert len(wrong) == 1
    assert said in wrong[0]
    assert "to" in given or wrong[0].startswith("egg 2 of C-1: ")


@pytest.mark.parametrize("mass_g", ["0.3", "2.5"])
def test_the_ends_of_the_band_are_plausible(mass_g: str) -> None:
    assert check([replace(ONE, mass_g=Decimal(mass_g))])[1] == []


def test_a_confirmed_mass_is_taken() -> None:
    heavy = replace(ONE, mass_g=Decimal("2.9"), confirmed=True)

    assert check([heavy])[1] == []
    assert (
        check([replace(ONE, mass_g=Decimal(9))], replace(NURSERY, masses=None))[1] == []
    )


def test_a_code_is_given_once() -> None:
    _, wrong = check([ONE, ONE])

    assert wrong == [
        "The code C-1-02 is given 2 times; each animal has a code of its own."
    ]
