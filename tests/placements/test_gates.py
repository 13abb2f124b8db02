"""Opening gates and shutting them again, and what they look at, with real rows."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from placements.actions.gates import (
    TreatmentHandoverError,
    hand_over_treatment,
    open_gate,
    shut_gate,
)
from placements.actions.placement_policies import set_placement_policy
from placements.actions.states import PlacementStateError
from placements.models import (
    GateOpening,
    Placement,
    PlacementPolicy,
    TreatmentHandover,
)
from placements.queries.gates import gate_facts, gates_ahead, gates_of
from placements.rules.gates.opening import GateError
from placements.rules.gates.policies import PlacementPolicyError, Policy
from placements.rules.vocabulary import (
    Gate,
    GateState,
    PaperKind,
    PlacementKind,
    SexNeed,
)
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
ON = date(2026, 3, 20)


def young() -> Placement:
    """Return a plan whose animal is 89 days old on its day, where 90 are asked."""
    factories.PlacementPolicyFactory.create(least_age_days=90)
    animal = factories.AnimalFactory.create(
        hatched_on=ON - timedelta(days=89), arrived_on=ON - timedelta(days=89)
    )
    return factories.PlacementFactory.create(animal=animal, planned_on=ON)


def opened(placement: Placement, **said: Any) -> GateOpening:
    said = {"gate": Gate.OLD_ENOUGH, "reason": "to an old hand", "at": AT} | said
    return open_gate(placement=placement, by=None, **said)


def state(placement: Placement, gate: Gate, on: date = ON) -> GateState:
    (found,) = [
        one
        for one in gates_of(placement_ids=[placement.pk], on=on)[placement.pk]
        if one.gate is gate
    ]
    return found.state


def test_a_gate_is_opened_with_a_reason() -> None:
    placement = young()

    opening = opened(placement)

    assert opening.why_shut == (
        "It is 89 days old; 90 are asked, which it is on 21 Mar 2026."
    )
    assert state(placement, Gate.OLD_ENOUGH) is GateState.OPENED
    assert AuditEntry.objects.get(verb="open_gate").reason == "to an old hand"


def test_a_plan_whose_day_has_passed_is_looked_at_for_today() -> None:
    placement = young()

    with pytest.raises(GateError, match="is open, not shut: It is 90 days old"):
        opened(placement, at=AT + timedelta(days=3))


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"reason": "  "}, "Say why it may leave all the same"),
        ({"reason": "x" * 1001}, "Up to 1000 signs fit"),
        ({"gate": Gate.HOLD_OVER}, "is open, not shut: No hold is in force"),
        ({"gate": Gate.SEX_CHECKED}, "is not asked, not shut"),
        ({"gate": Gate.NATIVE_SPECIES}, "has no gate “native species”"),
        ({"gate": Gate.PACKET_MADE}, "Nobody opens the gate “packet made”"),
    ],
)
def test_what_cannot_be_opened_is_refused(said: Any, told: str) -> None:
    with pytest.raises(GateError, match=told):
        opened(young(), **said)

    assert not GateOpening.objects.exists()


def test_a_gate_is_opened_once() -> None:
    placement = young()
    opened(placement)

    with pytest.raises(GateError, match="is opened, not shut"):
        opened(placement)


def test_a_gate_is_shut_again() -> None:
    placement = young()
    opening = opened(placement)

    shut_gate(placement=placement, gate=Gate.OLD_ENOUGH, by=None, at=AT)

    opening.refresh_from_db()
    assert opening.shut_again_at == AT
    assert state(placement, Gate.OLD_ENOUGH) is GateState.SHUT
    with pytest.raises(GateError, match="Nobody has opened"):
        shut_gate(placement=placement, gate=Gate.OLD_ENOUGH, by=None, at=AT)
    opened(placement)
    assert state(placement, Gate.OLD_ENOUGH) is GateState.OPENED


def test_gates_of_what_has_left_stand_still() -> None:
    placement = factories.PlacementFactory.create(handed_over=True)

    with pytest.raises(PlacementStateError):
        opened(placement)
    with pytest.raises(PlacementStateError):
        shut_gate(placement=placement, gate=Gate.OLD_ENOUGH, by=None, at=AT)


def treated(**said: Any) -> tuple[Placement, dict[str, Any]]:
    placement = factories.PlacementFactory.create(planned_on=ON)
    prescription = factories.PrescriptionFactory.create(
        **({"animal": placement.animal, "until_on": ON} | said)
    )
    plan = "The practice in town goes on."
    return placement, {"prescription": prescription, "plan": plan, "by": None, "at": AT}


def test_a_treatment_is_handed_over_once() -> None:
    placement, said = treated()

    hand_over_treatment(placement=placement, **said)

    assert state(placement, Gate.TREATMENT_HANDED_OVER) is GateState.OPEN
    entry = AuditEntry.objects.get(verb="hand_over_treatment")
    assert "practice in town" not in str(entry.after)
    with pytest.raises(TreatmentHandoverError, match="was handed over before"):
        hand_over_treatment(placement=placement, **said)


def test_a_treatment_of_another_animal_is_refused() -> None:
    placement, said = treated(animal=factories.AnimalFactory.create())

    with pytest.raises(TreatmentHandoverError, match="is not about"):
        hand_over_treatment(placement=placement, **said)


def test_a_treatment_that_was_stopped_is_refused() -> None:
    placement, said = treated(stopped_at=AT, stopped_reason="well again")

    assert state(placement, Gate.TREATMENT_HANDED_OVER) is GateState.OPEN
    with pytest.raises(TreatmentHandoverError, match="was stopped"):
        hand_over_treatment(placement=placement, **said)


def test_a_treatment_without_the_vets_words_is_refused() -> None:
    placement, said = treated()

    with pytest.raises(GateError, match="how the licensed vet says"):
        hand_over_treatment(placement=placement, **(said | {"plan": "  "}))

    assert not TreatmentHandover.objects.exists()


def test_a_policy_is_decided() -> None:
    species = factories.SpeciesFactory.create()
    policy = Policy(
        least_age_days=90,
        sex=SexNeed.LIKELY,
        papers=(PaperKind.ORIGIN_STATEMENT,),
        home_ready=True,
    )
    user = factories.UserFactory.create()

    row = set_placement_policy(
        species=species,
        kind=PlacementKind.SALE,
        policy=policy,
        reason=" old enough to eat well ",
        by=user,
        at=AT,
    )

    row.refresh_from_db()
    assert (row.least_age_days, row.papers, row.made_by) == (
        90,
        ["origin_statement"],
        user,
    )
    assert AuditEntry.objects.get(verb="set_placement_policy").reason == (
        "old enough to eat well"
    )


def test_a_policy_without_a_reason_is_refused() -> None:
    with pytest.raises(PlacementPolicyError, match="Say why"):
        set_placement_policy(
            species=None, kind=None, policy=Policy(), reason="", by=None, at=AT
        )

    assert not PlacementPolicy.objects.exists()


def test_the_newest_policy_holds() -> None:
    placement = young()
    for days, hours in ((10, 0), (80, 1)):
        set_placement_policy(
            species=None,
            kind=None,
            policy=Policy(least_age_days=days),
            reason="as agreed",
            by=None,
            at=AT + timedelta(hours=hours),
        )

    facts = gate_facts(placement_ids=[placement.pk], on=ON)[placement.pk]

    assert (facts.policy.least_age_days, facts.policy.made_on) == (80, AT.date())


def test_findings_that_are_over_or_of_others_do_not_count() -> None:
    placement = factories.PlacementFactory.create(planned_on=ON)
    said: dict[str, Any] = {"animal": placement.animal, "urgency": "now"}
    factories.FindingFactory.create(key="a", closed_on=ON, **said)
    factories.FindingFactory.create(key="b", withdrawn_on=ON, **said)
    factories.FindingFactory.create(animal=placement.animal, urgency="watch")
    factories.FindingFactory.create(urgency="now")

    assert state(placement, Gate.NOTHING_URGENT) is GateState.OPEN


def test_a_weighing_counts_by_the_local_day_and_not_if_it_was_corrected() -> None:
    stay = factories.StayFactory.create(
        enclosure__room__site__time_zone="Pacific/Auckland"
    )
    placement = factories.PlacementFactory.create(animal=stay.animal, planned_on=ON)
    late = datetime(2026, 3, 19, 20, 0, tzinfo=UTC)
    right = factories.WeighingFactory.create(animal=stay.animal, at=late)
    wrong = factories.WeighingFactory.create(
        animal=stay.animal, at=late + timedelta(minutes=1)
    )
    factories.WeighingFactory.create(
        animal=stay.animal, at=late - timedelta(minutes=1), corrects=wrong
    )

    facts = gate_facts(placement_ids=[placement.pk], on=ON)[placement.pk]

    # 20:00 in Greenwich is 09:00 of the next day in Auckland, on summer time.
    assert facts.mass is not None
    assert (facts.mass.mass_g, facts.mass.on) == (right.mass_g, ON)


@pytest.mark.parametrize("count", [1, 3])
def test_the_number_of_queries_does_not_grow(
    count: int, django_assert_num_queries: Any
) -> None:
    made = []
    for n in range(count):
        application = factories.ApplicationFactory.create()
        enclosure = factories.HomeEnclosureFactory.create(home=application.home)
        placement = factories.PlacementFactory.create(
            home=application.home, application=application, home_enclosure=enclosure
        )
        animal = placement.animal
        factories.ReadinessReviewFactory.create(enclosure=enclosure, animal=animal)
        factories.ApplicationCheckFactory.create(application=application)
        factories.QuarantineFactory.create(animal=animal)
        factories.FindingFactory.create(animal=animal, key=f"k{n}", urgency="now")
        factories.PrescriptionFactory.create(animal=animal, until_on=ON)
        factories.WeighingFactory.create(animal=animal)
        factories.IntakeFactory.create(animal=animal)
        factories.AnimalPaperFactory.create(animal=animal)
        factories.PacketFactory.create(placement=placement)
        factories.GateOpeningFactory.create(placement=placement)
        made.append(placement.pk)

    with django_assert_num_queries(24):
        found = gate_facts(placement_ids=made, on=ON)

    assert sorted(found) == made


def test_plans_are_looked_at_for_the_day_of_each() -> None:
    placement = young()
    later = factories.PlacementFactory.create(
        animal__hatched_on=placement.animal.hatched_on, planned_on=date(2026, 3, 21)
    )
    until = {"valid_until": ON, "kind": PaperKind.OWNERSHIP.value}
    factories.PlacementPolicyFactory.create(
        least_age_days=90, papers=["ownership"], made_at=AT
    )
    for one in (placement, later):
        factories.AnimalPaperFactory.create(animal=one.animal, **until)
        factories.PrescriptionFactory.create(animal=one.animal, until_on=ON)

    found = gates_ahead(placement_ids=[placement.pk, later.pk], today=AT.date())

    watched = (Gate.OLD_ENOUGH, Gate.PAPERS_THERE, Gate.TREATMENT_HANDED_OVER)
    shut = {
        pk: [one.gate for one in results if one.shut and one.gate in watched]
        for pk, results in found.items()
    }
    assert shut == {
        placement.pk: [Gate.TREATMENT_HANDED_OVER, Gate.OLD_ENOUGH],
        later.pk: [Gate.PAPERS_THERE],
    }


def test_a_placement_that_there_is_not_has_no_gates() -> None:
    assert gates_of(placement_ids=[999], on=ON) == {}
