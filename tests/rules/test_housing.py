"""Where animals live. The sizes of two published rules that contradict each other:
a clinic's 60 × 60 × 120 cm, and Barnard 1996 (table 18.1, as reprinted): height 2 to
3 times the total length, floor 2 × 3 lengths. Company and sight: common practice, no
source.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from husbandry.rules.enclosure_sizes import too_small
from husbandry.rules.housing import (
    EnclosureState,
    HousedAnimal,
    HousingAssessment,
    assess_housing,
)
from husbandry.rules.profiles.values import (
    CompanyRule,
    HousingRule,
    LayingRule,
    LightHours,
    Provenance,
)
from husbandry.rules.vocabulary import FindingKind, Reproduction, Standing, Urgency

SAID = Provenance("someone", Standing.COMMON_PRACTICE, date(2026, 1, 1))


def size_rule(name: str, width: str, depth: str, height: str) -> HousingRule:
    sizes = (Decimal(width), Decimal(depth), Decimal(height))
    return HousingRule(name, (), None, *sizes, SAID)


CLINIC = size_rule("clinic", "60", "60", "120")
BARNARD_55_CM = size_rule("barnard", "110", "165", "110")
ALONE = CompanyRule("alone", (), True, 1, True, SAID)
GROUP_OF_4 = CompanyRule("group", (), False, 4, False, SAID)
LAYING = LayingRule("bin", (), None, SAID)
HOURS = LightHours("hours", (), Decimal("11.5"), Decimal(13), SAID)

PLAIN = HousedAnimal(
    id=1,
    label="V-0001 Juno",
    enclosure=10,
    reproduction=Reproduction.RESTING,
    size=None,
    company=None,
    laying=None,
    light_hours=None,
)
STATE = EnclosureState(10, "E-10", Decimal(60), Decimal(60), Decimal(120), True, 12.0)


def assess(
    *animals: HousedAnimal,
    states: tuple[EnclosureState, ...] = (STATE,),
    lines: tuple[tuple[int, int], ...] = (),
) -> tuple[HousingAssessment, ...]:
    return assess_housing(
        animals, enclosures={s.id: s for s in states}, sight_lines=lines
    )


def kinds(found: tuple[HousingAssessment, ...]) -> list[tuple[int, str]]:
    return [(a.animal, a.kind.value) for a in found]


def test_nobody_and_nothing_wanted_is_nothing_wrong() -> None:
    assert assess() == ()
    assert assess(PLAIN) == ()


def test_an_animal_without_an_enclosure() -> None:
    found = assess(replace(PLAIN, enclosure=None, size=CLINIC, company=ALONE))

    assert found == (
        HousingAssessment(
            animal=1,
            enclosure=None,
            kind=FindingKind.NO_ENCLOSURE,
            urgency=Urgency.TODAY,
            decided=True,
            facts={},
            rule_id="",
            provenance=None,
        ),
    )


def test_an_animal_at_another_site_is_passed_over() -> None:
    assert assess(replace(PLAIN, enclosure=99, size=CLINIC)) == ()


@pytest.mark.parametrize(
    ("rule", "size_cm", "failed"),
    [
        (CLINIC, ("60", "60", "120"), ()),
        (CLINIC, ("59.9", "60", "120"), ("width",)),
        (CLINIC, ("60", "59.9", "119.9"), ("depth", "height")),
        (BARNARD_55_CM, ("60", "60", "120"), ("width", "depth")),
        (BARNARD_55_CM, ("110", "165", "110"), ()),
        (BARNARD_55_CM, ("165", "110", "110"), ()),  # the same floor, turned
        (BARNARD_55_CM, ("165", "109", "110"), ("depth",)),
        (BARNARD_55_CM, ("109", "165", "110"), ("width",)),
    ],
)
def test_too_small(
    rule: HousingRule, size_cm: tuple[str, str, str], failed: tuple[str, ...]
) -> None:
    width, depth, height = (Decimal(s) for s in size_cm)

    assert tuple(n for n, _, _ in too_small(rule, (width, depth, height))) == failed


def test_the_answer_names_the_rule_and_the_dimensions() -> None:
    # One enclosure, two rules: it passes by the one and fails by the other.
    assert assess(replace(PLAIN, size=CLINIC)) == ()

    (found,) = assess(replace(PLAIN, size=BARNARD_55_CM))

    assert (found.rule_id, found.kind) == ("barnard", FindingKind.ENCLOSURE_TOO_SMALL)
    assert found.facts == {
        "rule": "barnard",
        "failed": [
            {"dimension": "width", "is_cm": 60.0, "min_cm": 110.0},
            {"dimension": "depth", "is_cm": 60.0, "min_cm": 165.0},
        ],
        "size_cm": [60.0, 60.0, 120.0],
    }


def test_what_nobody_described_is_undecided_not_fine() -> None:
    unknown = EnclosureState(10, "E-10", None, None, None, False, 8.0)
    wants_all = replace(PLAIN, size=CLINIC, laying=LAYING, light_hours=HOURS)

    found = assess(wants_all, states=(unknown,))

    assert [(a.kind.value, a.decided) for a in found] == [
        ("enclosure_too_small", False),
        ("no_laying_bin", False),
        ("light_hours", False),
    ]


@pytest.mark.parametrize(
    ("there", "state", "urgency"),
    [
        (True, Reproduction.GRAVID, None),
        (False, Reproduction.RESTING, Urgency.TODAY),
        (False, Reproduction.GRAVID, Urgency.NOW),
    ],
)
def test_laying_bin(there: bool, state: Reproduction, urgency: Urgency | None) -> None:
    female = replace(PLAIN, laying=LAYING, reproduction=state)

    found = assess(female, states=(replace(STATE, laying_bin=there),))

    assert [a.urgency for a in found] == ([urgency] if urgency else [])


def test_company_alone_is_wanted() -> None:
    other = replace(PLAIN, id=2, label="V-0002", company=ALONE)

    found = assess(replace(PLAIN, company=ALONE), other)

    assert kinds(found) == [(1, "shared_enclosure"), (2, "shared_enclosure")]
    assert found[0].facts == {
        "rule": "alone",
        "with": ["V-0002"],
        "animals": 2,
        "allowed": 1,
    }


@pytest.mark.parametrize(("number", "wrong"), [(1, 0), (4, 0), (5, 5)])
def test_company_up_to_a_number(number: int, wrong: int) -> None:
    group = [replace(PLAIN, id=n, company=GROUP_OF_4) for n in range(number)]

    assert len(assess(*group)) == wrong


def test_company_is_judged_for_each_by_its_own_rule() -> None:
    adult = replace(PLAIN, id=1, company=ALONE)
    hatchling = replace(PLAIN, id=2, company=GROUP_OF_4)

    assert kinds(assess(adult, hatchling)) == [(1, "shared_enclosure")]


SECOND = replace(STATE, id=11, code="E-11")


def neighbours(**other: Any) -> tuple[HousedAnimal, HousedAnimal]:
    one = replace(PLAIN, company=ALONE)
    return one, replace(
        one, **({"id": 2, "label": "V-0002 Rigo", "enclosure": 11} | other)
    )


def test_sight_of_another_is_told_of_both() -> None:
    found = assess(*neighbours(), states=(STATE, SECOND), lines=((10, 11),))

    assert kinds(found) == [(1, "in_sight"), (2, "in_sight")]
    assert found[0].urgency is Urgency.WATCH
    assert found[0].facts == {
        "rule": "alone",
        "seen": [{"animal": "V-0002 Rigo", "enclosure": "E-11"}],
    }


@pytest.mark.parametrize(
    ("changes", "lines"),
    [
        ({}, ()),  # nothing to be seen
        ({"enclosure": None}, ((10, 11),)),  # nobody there
        ({"company": GROUP_OF_4}, ((10, 11),)),  # a hatchling, or another kind
        ({"company": None}, ((10, 11),)),
        ({}, ((10, 12), (11, 12))),  # both see a third, empty one
    ],
)
def test_no_sight_of_another(
    changes: dict[str, Any], lines: tuple[tuple[int, int], ...]
) -> None:
    found = assess(*neighbours(**changes), states=(STATE, SECOND), lines=lines)

    assert "in_sight" not in {a.kind.value for a in found}


@pytest.mark.parametrize(
    ("light_h", "wrong"),
    [(11.49, True), (11.5, False), (12.0, False), (13.0, False), (13.01, True)],
)
def test_light_hours(light_h: float, wrong: bool) -> None:
    # Where the species lives, days last 11.32 to 12.92 h (computed with astral).
    found = assess(
        replace(PLAIN, light_hours=HOURS), states=(replace(STATE, light_h=light_h),)
    )

    assert [a.kind.value for a in found] == (["light_hours"] if wrong else [])
    if wrong:
        assert found[0].facts == {
            "rule": "hours",
            "light_h": light_h,
            "hours_low": 11.5,
            "hours_high": 13.0,
        }
