"""What the night says of animals in quarantine."""

from dataclasses import replace
from decimal import Decimal

from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, HealthTestResult, Urgency
from placements.rules.quarantine.assessing import assess_quarantine
from placements.rules.quarantine.criteria import judge_criteria
from placements.rules.quarantine.policies import SHIPPED
from placements.rules.quarantine.values import (
    Lodging,
    MassFact,
    QuarantineFacts,
    QuarantineState,
    SampleFact,
)
from tests.rules.placements.quarantine.made import day

APART = Lodging("Q-1", "Arrivals", 1, keeps_apart=True)
WELL = QuarantineFacts(
    began_on=day(0),
    weighings=(MassFact(day(16), Decimal(100)), MassFact(day(30), Decimal(98))),
    reviewed_on=day(29),
)


def state(
    facts: QuarantineFacts = WELL,
    *,
    lodging: Lodging | None = APART,
    rule: object = SHIPPED,
) -> QuarantineState:
    return QuarantineState(
        id=3,
        animal=7,
        code="V-7",
        label="V-7 Ash",
        species=1,
        on=day(30),
        began_on=day(0),
        group="reptiles",
        reason="came in: stray",
        clock_from=day(0),
        exposures=(),
        earliest_on=day(30),
        rule=rule,  # type: ignore[arg-type] # one of the rules below
        criteria=judge_criteria(facts, rule, on=day(30)),
        lodging=lodging,
    )


def test_nothing_is_said_of_one_that_is_kept_apart_as_it_should_be() -> None:
    waiting = state(replace(WELL, reviewed_on=None))

    assert list(assess_quarantine([waiting])) == []
    assert list(assess_quarantine([])) == []


def test_one_outside_a_room_of_quarantine_is_for_today() -> None:
    outside = Lodging("E-1", "Adults", 1, keeps_apart=False, others=("V-1", "V-2"))

    found = list(
        assess_quarantine([state(replace(WELL, reviewed_on=None), lodging=outside)])
    )

    assert found == [
        Assessment(
            kind=FindingKind.QUARANTINE_BROKEN,
            urgency=Urgency.TODAY,
            facts={
                "began_on": "2025-01-01",
                "day": 30,
                "room": "Adults",
                "enclosure": "E-1",
                "why": "outside",
                "with": ["V-1", "V-2"],
            },
            animal=7,
        )
    ]


def test_company_that_is_not_in_quarantine_breaks_it() -> None:
    shared = replace(APART, others=("V-1",))

    broken, _ready = assess_quarantine([state(lodging=shared)])

    assert (broken.kind, broken.urgency) == (
        FindingKind.QUARANTINE_BROKEN,
        Urgency.TODAY,
    )
    assert (broken.facts["why"], broken.facts["with"]) == ("shared_with", ["V-1"])


def test_one_in_no_enclosure_breaks_nothing() -> None:
    found = assess_quarantine([state(lodging=None)])

    assert [a.kind for a in found] == [FindingKind.QUARANTINE_READY]


def test_one_of_which_all_is_so_is_watched_until_a_person_decides() -> None:
    tested = replace(SHIPPED, tests=1)
    sample = SampleFact(day(20), HealthTestResult.NOTHING_FOUND)

    (found,) = assess_quarantine([state(replace(WELL, tests=(sample,)), rule=tested)])
    (untested,) = assess_quarantine([state(replace(WELL, tests=(sample,)))])

    assert found == Assessment(
        kind=FindingKind.QUARANTINE_READY,
        urgency=Urgency.WATCH,
        facts={
            "began_on": "2025-01-01",
            "clock_from": "2025-01-01",
            "day": 30,
            "days_wanted": 30,
            "tests": 1,
            "weight_change_pct": -2.0,
        },
        animal=7,
    )
    assert untested.facts["tests"] == 0  # none was asked for


def test_one_thing_that_is_not_known_keeps_it_in() -> None:
    unknown = state(replace(WELL, weighings=()))

    assert not unknown.is_ready
    assert [c.met for c in unknown.unmet] == [None]
    assert list(assess_quarantine([unknown])) == []
