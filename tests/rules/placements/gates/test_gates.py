"""Each gate by itself, at its limits and just beyond, and all of them together.

What is asked is the house's own decision (docs/adr/0014-gates.md); ages are counted on
a calendar by hand. 2026-03-20 less 90 days is 2025-12-20.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    FindingKind,
    Origin,
    Sex,
    Urgency,
)
from placements.rules.applications.checks import NO_APPLICATION, ApplicationFacts
from placements.rules.gates.animals import NOT_URGENT_HERE
from placements.rules.gates.facts import (
    GateFacts,
    GateResult,
    HomeJudged,
    KeptApart,
    Mass,
    Opening,
    PacketMade,
    Treatment,
    UrgentFinding,
)
from placements.rules.gates.judging import judge_gates, shut_gates
from placements.rules.gates.policies import Policy, shipped_policy
from placements.rules.holds import HoldFacts
from placements.rules.papers.facts import PaperFacts, is_in_force
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    Gate,
    GateState,
    IntakeSource,
    PaperKind,
    PlacementKind,
    Readiness,
    SexNeed,
)

ON = date(2026, 3, 20)
MADE_AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
ALL_ASKED = Policy(
    least_age_days=90,
    least_mass_g=Decimal(30),
    sex=SexNeed.LIKELY,
    papers=(PaperKind.ORIGIN_STATEMENT,),
    application=True,
    home_ready=True,
    made_on=date(2026, 1, 5),
)


def held(
    kind: PaperKind, number: str, issued_on: date | None, valid_until: date | None
) -> PaperFacts:
    in_force = is_in_force(ON, issued_on=issued_on, valid_until=valid_until)
    return PaperFacts(
        id=1,
        kind=kind,
        animal=1,
        species=None,
        number=number,
        cites_source=None,
        issued_by="an invented office",
        issued_on=issued_on,
        valid_until=valid_until,
        in_force=in_force,
    )


def stray_hold(until_on: date) -> HoldFacts:
    return HoldFacts(until_on, "stray hold", IntakeSource.STRAY)


def statement(issued_on: date | None = None, until: date | None = None) -> PaperFacts:
    return held(PaperKind.ORIGIN_STATEMENT, "OS-1", issued_on, until)


def permit(until: date = ON) -> PaperFacts:
    return held(PaperKind.RELEASE_PERMIT, "R-7", date(2026, 3, 1), until)


def applied(
    state: ApplicationState,
    failed: tuple[CheckKind, ...] = (),
    unlooked: tuple[CheckKind, ...] = (),
) -> ApplicationFacts:
    return ApplicationFacts(application=3, state=state, failed=failed, open=unlooked)


PASSES = GateFacts(
    placement=1,
    kind=PlacementKind.SALE,
    on=ON,
    policy=ALL_ASKED,
    sex=Sex.MALE,
    sex_confidence=Confidence.LIKELY,
    hatched_on=date(2025, 12, 20),
    hatched_precision=DatePrecision.DAY,
    origin=Origin.BORN_HERE,
    found_stray=False,
    native=False,
    mass=Mass(Decimal(30), date(2026, 2, 18)),
    papers=(statement(),),
    applied=applied(ApplicationState.ACCEPTED),
    home_judged=HomeJudged(Readiness.AS_WANTED, date(2026, 3, 10)),
    packet=PacketMade("P-2026-0001", MADE_AT),
)
RELEASED = replace(
    PASSES,
    kind=PlacementKind.RELEASE,
    policy=Policy(),
    origin=Origin.WILD_CAUGHT,
    native=True,
    papers=(permit(),),
)


def found(gate: Gate, **changes: Any) -> GateResult:
    return of(gate, replace(PASSES, **changes))


def of(gate: Gate, facts: GateFacts) -> GateResult:
    (result,) = [one for one in judge_gates(facts) if one.gate is gate]
    return result


def asked(**changes: Any) -> Policy:
    return replace(ALL_ASKED, **changes)


def urgent(kind: FindingKind, urgency: Urgency = Urgency.NOW) -> UrgentFinding:
    return UrgentFinding(7, kind, urgency, date(2026, 3, 19))


def test_an_animal_with_everything_passes_every_gate() -> None:
    results = judge_gates(PASSES)

    assert {result.state for result in results} == {GateState.OPEN}
    assert len(results) == 11


def test_a_plain_sale_of_a_healthy_adult_is_not_kept_by_what_nobody_asked() -> None:
    nothing_but_a_packet = replace(
        PASSES,
        policy=shipped_policy(PlacementKind.SALE),
        sex=Sex.UNKNOWN,
        sex_confidence=Confidence.UNCERTAIN,
        hatched_on=None,
        hatched_precision=DatePrecision.UNKNOWN,
        mass=None,
        papers=(),
        applied=NO_APPLICATION,
        home_judged=None,
    )

    results = judge_gates(nothing_but_a_packet)

    assert shut_gates(results) == ()
    assert [r.gate for r in results if r.state is GateState.NOT_ASKED] == [
        Gate.SEX_CHECKED,
        Gate.OLD_ENOUGH,
        Gate.HEAVY_ENOUGH,
        Gate.PAPERS_THERE,
        Gate.APPLICATION_ACCEPTED,
        Gate.HOME_READY,
    ]


def test_an_adoption_asks_for_an_application_and_a_ready_home() -> None:
    adopted = replace(
        PASSES,
        kind=PlacementKind.ADOPTION,
        policy=shipped_policy(PlacementKind.ADOPTION),
        applied=NO_APPLICATION,
        home_judged=None,
    )

    assert [one.gate for one in shut_gates(judge_gates(adopted))] == [
        Gate.APPLICATION_ACCEPTED,
        Gate.HOME_READY,
    ]


SHUT: list[tuple[str, Gate, dict[str, Any], str]] = [
    (
        "in quarantine",
        Gate.QUARANTINE_OVER,
        {"kept_apart": KeptApart(date(2026, 3, 1))},
        "It is in quarantine since 1 Mar 2026; nobody has cleared it.",
    ),
    (
        "in quarantine, criteria not met",
        Gate.QUARANTINE_OVER,
        {"kept_apart": KeptApart(date(2026, 3, 1), ("19 days of 30.", "No test yet."))},
        "It is in quarantine since 1 Mar 2026; nobody has cleared it. Not met: 19 days of "
        "30. No test yet.",
    ),
    (
        "losing weight",
        Gate.NOTHING_URGENT,
        {"urgent": (urgent(FindingKind.WEIGHT_LOSS),)},
        "This has to be seen to first: weight loss since 19 Mar 2026.",
    ),
    (
        "sex only guessed",
        Gate.SEX_CHECKED,
        {"sex_confidence": Confidence.UNCERTAIN},
        "Its sex is male, uncertain; it has to be at least likely.",
    ),
    (
        "sex likely where it has to be confirmed",
        Gate.SEX_CHECKED,
        {"policy": asked(sex=SexNeed.CONFIRMED)},
        "Its sex is male, likely; it has to be confirmed.",
    ),
    (
        "sex not known, surely",
        Gate.SEX_CHECKED,
        {"sex": Sex.UNKNOWN, "sex_confidence": Confidence.CONFIRMED},
        "Its sex is not known; it has to be at least likely.",
    ),
    (
        "treated",
        Gate.TREATMENT_HANDED_OVER,
        {
            "treatments": (
                Treatment("Invented syrup", ON, handed_over=False),
                Treatment("Invented drops", ON, handed_over=True),
            )
        },
        "A treatment is not over and no vet has said how it goes on: Invented syrup "
        "until 20 Mar 2026.",
    ),
    (
        "a day too young",
        Gate.OLD_ENOUGH,
        {"hatched_on": date(2025, 12, 21)},
        "It is 89 days old; 90 are asked, which it is on 21 Mar 2026.",
    ),
    (
        "hatched some day in December",
        Gate.OLD_ENOUGH,
        {
            "hatched_on": date(2025, 12, 1),
            "hatched_precision": DatePrecision.MONTH,
        },
        "It is at least 79 days old; 90 are asked, which it is on 31 Mar 2026.",
    ),
    (
        "nobody knows when it hatched",
        Gate.OLD_ENOUGH,
        {"hatched_on": None, "hatched_precision": DatePrecision.UNKNOWN},
        "Nobody knows when it hatched; 90 days of age are asked.",
    ),
    (
        "too light",
        Gate.HEAVY_ENOUGH,
        {"mass": Mass(Decimal("29.9"), ON)},
        "It weighed 29.9 g on 20 Mar 2026; 30.0 g are asked.",
    ),
    (
        "weighed 31 days before",
        Gate.HEAVY_ENOUGH,
        {"mass": Mass(Decimal(300), date(2026, 2, 17))},
        "It was last weighed more than 30 days before (300.0 g on 17 Feb 2026); weigh "
        "it again, 30.0 g are asked.",
    ),
    (
        "never weighed",
        Gate.HEAVY_ENOUGH,
        {"mass": None},
        "It was never weighed; 30.0 g are asked.",
    ),
    (
        "held until that day",
        Gate.HOLD_OVER,
        {"hold": stray_hold(ON)},
        "It is held until 20 Mar 2026 (stray hold); it may leave from 21 Mar 2026 on.",
    ),
    (
        "no paper",
        Gate.PAPERS_THERE,
        {"papers": (permit(),)},
        "Papers are missing: origin statement.",
    ),
    (
        "paper ran out the day before",
        Gate.PAPERS_THERE,
        {"papers": (statement(until=date(2026, 3, 19)),)},
        "Papers are missing: origin statement (ran out on 19 Mar 2026).",
    ),
    (
        "paper issued the day after",
        Gate.PAPERS_THERE,
        {"papers": (statement(date(2026, 3, 21)),)},
        "Papers are missing: origin statement.",
    ),
    (
        "no application",
        Gate.APPLICATION_ACCEPTED,
        {"applied": NO_APPLICATION},
        "No application of the home belongs to it.",
    ),
    (
        "application looked into",
        Gate.APPLICATION_ACCEPTED,
        {
            "applied": applied(
                ApplicationState.CHECKING, unlooked=(CheckKind.REFERENCES,)
            )
        },
        "The home's application is checking, not accepted; 1 check still to be done.",
    ),
    (
        "accepted but a check failed",
        Gate.APPLICATION_ACCEPTED,
        {
            "applied": applied(
                ApplicationState.ACCEPTED,
                failed=(CheckKind.LANDLORD, CheckKind.PEOPLE_AT_RISK),
            )
        },
        # Not which: that would tell of the people who live there.
        "The home's application was accepted, but 2 checks failed.",
    ),
    (
        "declined where none is asked",
        Gate.APPLICATION_ACCEPTED,
        {
            "policy": asked(application=False),
            "applied": applied(ApplicationState.DECLINED),
        },
        "The home's application is declined, not accepted.",
    ),
    (
        "home never compared",
        Gate.HOME_READY,
        {"home_judged": None},
        "Nobody has compared the home's enclosure with what the animal needs, as it "
        "stands now.",
    ),
    (
        "home not as wanted",
        Gate.HOME_READY,
        {"home_judged": HomeJudged(Readiness.NOT_AS_WANTED, ON, 2)},
        "The home's enclosure is not as wanted in 2 of its matters. Its review says "
        "more.",
    ),
    (
        "home not known",
        Gate.HOME_READY,
        {"home_judged": HomeJudged(Readiness.NOT_KNOWN, ON)},
        "The home's enclosure is not known well enough. Its review says more.",
    ),
    (
        "no packet",
        Gate.PACKET_MADE,
        {"packet": None},
        "It has no packet yet. Make one; it goes with the animal.",
    ),
]


@pytest.mark.parametrize(
    ("gate", "changes", "why"), [row[1:] for row in SHUT], ids=[row[0] for row in SHUT]
)
def test_a_gate_that_is_shut_says_why(
    gate: Gate, changes: dict[str, Any], why: str
) -> None:
    facts = replace(PASSES, **changes)

    assert [(one.gate, one.why) for one in shut_gates(judge_gates(facts))] == [
        (gate, why)
    ]


OPEN: list[tuple[str, Gate, dict[str, Any]]] = [
    ("held until the day before", Gate.HOLD_OVER, {"hold": stray_hold(date(2026, 3, 19))}),
    (
        "treatment handed over",
        Gate.TREATMENT_HANDED_OVER,
        {"treatments": (Treatment("Invented syrup", ON, handed_over=True),)},
    ),
    ("hatched some day in 2024", Gate.OLD_ENOUGH, {
        "hatched_on": date(2024, 7, 1), "hatched_precision": DatePrecision.YEAR,
    }),
    ("paper's last day", Gate.PAPERS_THERE, {
        "papers": (statement(ON, ON),),
    }),
    ("on the waiting list", Gate.APPLICATION_ACCEPTED, {
        "applied": applied(ApplicationState.WAITING),
    }),
    ("sex likely and confirmed", Gate.SEX_CHECKED, {
        "sex_confidence": Confidence.CONFIRMED,
    }),
]  # fmt: skip


@pytest.mark.parametrize(
    ("gate", "changes"), [row[1:] for row in OPEN], ids=[row[0] for row in OPEN]
)
def test_a_gate_at_its_limit_is_open(gate: Gate, changes: dict[str, Any]) -> None:
    assert found(gate, **changes).state is GateState.OPEN


@pytest.mark.parametrize("kind", sorted(NOT_URGENT_HERE))
def test_what_other_gates_look_at_is_not_urgent_here(kind: FindingKind) -> None:
    result = found(Gate.NOTHING_URGENT, urgent=(urgent(kind),))

    assert result.state is GateState.OPEN


OPENED = Opening(Gate.OLD_ENOUGH, "goes to a breeder", MADE_AT - HOUR)
YOUNG = date(2026, 1, 1)


def test_a_gate_that_a_person_opened_lets_the_animal_pass() -> None:
    result = found(Gate.OLD_ENOUGH, hatched_on=YOUNG, openings=(OPENED,))

    assert (result.state, result.reason) == (GateState.OPENED, "goes to a breeder")
    assert "78 days old" in result.why


def test_an_opening_of_a_gate_that_is_open_by_itself_changes_nothing() -> None:
    assert found(Gate.OLD_ENOUGH, openings=(OPENED,)).state is GateState.OPEN


def test_a_gate_that_was_shut_again_is_shut() -> None:
    again = replace(OPENED, shut_again_at=MADE_AT - HOUR / 2)

    result = found(Gate.OLD_ENOUGH, hatched_on=YOUNG, openings=(again,))

    assert (result.state, result.reason) == (GateState.SHUT, "")


@pytest.mark.parametrize(
    ("opened_at", "shut_again_at", "state"),
    [
        (MADE_AT, None, GateState.OPEN),
        (MADE_AT + HOUR, None, GateState.SHUT),
        (MADE_AT - HOUR, MADE_AT, GateState.OPEN),
        (MADE_AT - HOUR, MADE_AT + HOUR, GateState.SHUT),
        (MADE_AT + HOUR, MADE_AT + 2 * HOUR, GateState.OPEN),
    ],
)
def test_a_packet_tells_of_every_gate_that_was_opened(
    opened_at: datetime, shut_again_at: datetime | None, state: GateState
) -> None:
    opening = Opening(Gate.OLD_ENOUGH, "because", opened_at, shut_again_at)

    result = found(Gate.PACKET_MADE, openings=(opening,))

    assert result.state is state
    assert ("Make a new version" in result.why) is (state is GateState.SHUT)


def test_nobody_opens_the_gate_of_the_packet() -> None:
    opening = Opening(Gate.PACKET_MADE, "in a hurry", MADE_AT)

    result = found(Gate.PACKET_MADE, packet=None, openings=(opening,))

    assert (result.state, result.can_be_opened) == (GateState.SHUT, False)


def test_a_release_of_a_native_wild_animal_with_a_permit_passes() -> None:
    results = judge_gates(RELEASED)

    assert shut_gates(results) == ()
    assert [r.gate for r in results][-3:] == [
        Gate.NATIVE_SPECIES,
        Gate.RELEASE_PERMITTED,
        Gate.PACKET_MADE,
    ]


@pytest.mark.parametrize(
    ("gate", "changes", "told"),
    [
        (Gate.NATIVE_SPECIES, {"native": False}, "not on record as living wild here"),
        (Gate.NATIVE_SPECIES, {"origin": Origin.BORN_HERE}, "never released"),
        (Gate.NATIVE_SPECIES, {"origin": Origin.UNKNOWN}, "never released"),
        (
            Gate.NATIVE_SPECIES,
            {"origin": Origin.BORN_ELSEWHERE, "found_stray": True},
            "never released",
        ),
        (Gate.RELEASE_PERMITTED, {"papers": ()}, "No release permit is on record"),
        (
            Gate.RELEASE_PERMITTED,
            {"papers": (permit(date(2026, 3, 19)),)},
            "ran out on 19 Mar 2026",
        ),
        (
            Gate.QUARANTINE_OVER,
            {"kept_apart": KeptApart(date(2026, 3, 1))},
            "in quarantine",
        ),
    ],
)
def test_a_release_has_gates_that_nobody_opens(
    gate: Gate, changes: dict[str, Any], told: str
) -> None:
    opening = Opening(gate, "we are sure", MADE_AT)
    facts = replace(RELEASED, openings=(opening,), **changes)

    result = of(gate, facts)

    assert (result.state, result.can_be_opened) == (GateState.SHUT, False)
    assert told in result.why


def test_a_native_stray_can_be_released() -> None:
    facts = replace(RELEASED, origin=Origin.UNKNOWN, found_stray=True)

    assert of(Gate.NATIVE_SPECIES, facts).state is GateState.OPEN


def test_a_quarantine_can_be_opened_for_a_home() -> None:
    apart = KeptApart(date(2026, 3, 1))
    opening = Opening(Gate.QUARANTINE_OVER, "to the vet's own ward", MADE_AT)

    result = found(Gate.QUARANTINE_OVER, kept_apart=apart, openings=(opening,))

    assert result.state is GateState.OPENED


@given(
    gates=st.sets(st.sampled_from(list(Gate))),
    row=st.sampled_from(SHUT),
    kind=st.sampled_from(list(PlacementKind)),
)
def test_whatever_was_opened_a_gate_is_never_left_out_or_told_twice(
    gates: set[Gate], row: tuple[str, Gate, dict[str, Any], str], kind: PlacementKind
) -> None:
    openings = tuple(Opening(gate, "because", MADE_AT) for gate in sorted(gates))
    facts = replace(PASSES, kind=kind, openings=openings, **row[2])

    results = judge_gates(facts)

    assert len({result.gate for result in results}) == len(results) == 11
    for result in results:
        opened = result.state is GateState.OPENED
        assert opened <= (result.gate in gates and result.can_be_opened)
        assert (result.reason != "") is opened
        assert result.why.endswith(".")
