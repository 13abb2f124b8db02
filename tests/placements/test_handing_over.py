"""Handing animals over through their gates, by every kind of placement."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry, User
from husbandry.models import Animal, Stay
from husbandry.rules.vocabulary import Origin
from placements.actions.gates import hand_over_treatment, open_gate
from placements.actions.handing_over import (
    GatesShutError,
    ReleaseNotPermittedError,
    hand_over,
)
from placements.actions.packets import make_packet
from placements.actions.placements import plan_lasting
from placements.actions.states import PlacementStateError
from placements.models import Application, FollowUp, Placement, RegisterEntry
from placements.rules.placing import PlanError
from placements.rules.vocabulary import Gate, PaperKind, PlacementKind, SexNeed
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 20, 15, 0, tzinfo=UTC)
ON = date(2026, 3, 20)
DUE_ON = date(2026, 6, 20)
BEFORE = datetime(2026, 3, 19, 15, 0, tzinfo=UTC)


def planned(**said: Any) -> Placement:
    said = {"kind": "sale", "planned_on": ON} | said
    placement = factories.PlacementFactory.create(**said)
    make_packet(placement=placement, by=None, at=BEFORE)
    return placement


def leave(placement: Placement, by: User | None = None) -> Placement:
    return hand_over(placement=placement, on=ON, by=by, at=AT)


def shut(placement: Placement) -> dict[str, str]:
    with pytest.raises(GatesShutError) as raised:
        leave(placement)
    assert Placement.objects.get(pk=placement.pk).state == "planned"
    assert Animal.objects.get(pk=placement.animal_id).status == "in_care"
    return raised.value.fields


@pytest.mark.parametrize("kind", ["sale", "transfer", "loan", "foster"])
def test_a_healthy_animal_leaves_with_its_packet(kind: str) -> None:
    due = {"due_back_on": DUE_ON} if kind in ("loan", "foster") else {}
    placement = planned(kind=kind, **due)
    factories.StayFactory.create(animal=placement.animal)

    leave(placement)

    animal = Animal.objects.get(pk=placement.animal_id)
    assert (animal.status, animal.left_on) == ("placed", ON)
    assert not Stay.objects.filter(animal=animal, until_at__isnull=True).exists()
    assert [f.due_on for f in FollowUp.objects.filter(placement=placement)] == [
        date(2026, 4, 3),
        date(2026, 6, 20),
        date(2027, 3, 20),
    ]
    line = RegisterEntry.objects.get(direction="left")
    assert (line.how, line.on, line.placement_id) == (kind, ON, placement.pk)


def test_a_shut_gate_is_named_with_its_reason() -> None:
    placement = planned()
    factories.QuarantineFactory.create(animal=placement.animal)
    factories.FindingFactory.create(
        animal=placement.animal, kind="weight_loss", urgency="now"
    )

    assert set(shut(placement)) == {"quarantine_over", "nothing_urgent"}
    assert not FollowUp.objects.exists()
    assert not RegisterEntry.objects.exists()


def test_an_adoption_needs_an_application_and_a_ready_home() -> None:
    application = factories.ApplicationFactory.create(state="checking")
    placement = planned(kind="adoption", application=application, home=application.home)

    assert set(shut(placement)) == {"application_accepted", "home_ready"}


def test_an_adoption_places_the_application() -> None:
    application = factories.ApplicationFactory.create(state="accepted")
    enclosure = factories.HomeEnclosureFactory.create(home=application.home)
    placement = planned(
        kind="adoption",
        application=application,
        home=application.home,
        home_enclosure=enclosure,
    )
    factories.ReadinessReviewFactory.create(
        enclosure=enclosure,
        animal=placement.animal,
        species=placement.animal.species,
        outcome="as_wanted",
    )

    leave(placement)

    assert Application.objects.get().state == "placed"
    entry = AuditEntry.objects.get(verb="place_application")
    assert (entry.before, entry.after) == ({"state": "accepted"}, {"state": "placed"})


def test_a_gate_that_was_opened_lets_the_animal_pass_with_a_new_packet() -> None:
    placement = planned()
    factories.QuarantineFactory.create(animal=placement.animal)
    open_gate(
        placement=placement,
        gate=Gate.QUARANTINE_OVER,
        reason="Goes to the vet's own ward.",
        by=None,
        at=BEFORE.replace(hour=18),
    )

    told = shut(placement)
    assert list(told) == ["packet_made"]
    assert "Make a new version" in told["packet_made"]
    packet = make_packet(placement=placement, by=None, at=BEFORE.replace(hour=19))
    assert "own ward" in str(packet.snapshot)
    leave(placement)

    assert Placement.objects.get().state == "handed_over"


def test_a_treatment_is_handed_over_by_a_vet() -> None:
    placement = planned()
    prescription = factories.PrescriptionFactory.create(
        animal=placement.animal, until_on=date(2026, 3, 25)
    )

    assert (
        "Invented syrup until 25 Mar 2026" in shut(placement)["treatment_handed_over"]
    )
    hand_over_treatment(
        placement=placement,
        prescription=prescription,
        plan="The practice goes on with it.",
        by=None,
        at=AT,
    )
    leave(placement)

    assert Placement.objects.get().state == "handed_over"


def test_a_policy_asks_for_age_mass_sex_and_papers() -> None:
    placement = planned()
    animal = placement.animal
    factories.PlacementPolicyFactory.create(
        species=animal.species,
        least_age_days=600,
        least_mass_g=Decimal(120),
        sex=SexNeed.CONFIRMED.value,
        papers=[PaperKind.ORIGIN_STATEMENT.value],
    )
    Animal.objects.filter(pk=animal.pk).update(sex_confidence="likely")
    factories.WeighingFactory.create(animal=animal, mass_g=Decimal("119.99"), at=BEFORE)

    # 2024-09-01 to 2026-03-20 are 565 days.
    assert set(shut(placement)) == {
        "sex_checked",
        "old_enough",
        "heavy_enough",
        "papers_there",
    }
    Animal.objects.filter(pk=animal.pk).update(sex_confidence="confirmed")
    factories.WeighingFactory.create(animal=animal, mass_g=Decimal(120), at=AT)
    factories.AnimalPaperFactory.create(animal=animal)
    assert shut(placement) == {
        "old_enough": "It is 565 days old; 600 are asked, which it is on 24 Apr 2026."
    }


def test_a_hold_ends_by_its_day_or_when_it_is_lifted() -> None:
    placement = planned()
    arrival = factories.ArrivalFactory.create(
        source="stray", hold_until=ON, hold_reason="stray hold of the town"
    )
    intake = factories.IntakeFactory.create(arrival=arrival, animal=placement.animal)

    assert "stray hold of the town" in shut(placement)["hold_over"]
    intake.hold_ended_on, intake.hold_ended_reason = ON, "its owner gave it up"
    intake.save()
    leave(placement)

    assert Placement.objects.get().state == "handed_over"


def wild(**said: Any) -> Placement:
    animal = factories.AnimalFactory.create(
        species__native_here=True, origin=Origin.WILD_CAUGHT.value
    )
    return planned(
        animal=animal, kind="release", home=None, release_place="the hills", **said
    )


def test_a_permitted_person_releases_a_native_animal_with_a_permit() -> None:
    placement = wild()
    factories.AnimalPaperFactory.create(
        animal=None,
        species=placement.animal.species,
        kind=PaperKind.RELEASE_PERMIT.value,
        valid_until=ON,
    )

    leave(placement, factories.UserFactory.create(role="owner"))

    assert Animal.objects.get().status == "released"
    assert not FollowUp.objects.exists()
    assert RegisterEntry.objects.get(direction="left").how == "release"


@pytest.mark.parametrize("role", ["manager", "adoption_coordinator", "vet", None])
def test_nobody_else_releases(role: str | None) -> None:
    placement = wild()
    by = factories.UserFactory.create(role=role) if role else None

    with pytest.raises(ReleaseNotPermittedError):
        leave(placement, by)

    assert Animal.objects.get().status == "in_care"


def test_a_release_without_a_permit_is_refused_to_an_owner_too() -> None:
    placement = wild()
    owner = factories.UserFactory.create(role="owner")

    with pytest.raises(GatesShutError) as raised:
        leave(placement, owner)

    assert list(raised.value.fields) == ["release_permitted"]


def lasting(**said: Any) -> tuple[Placement, Placement]:
    animal = factories.AnimalFactory.create(status="placed", left_on=date(2026, 3, 2))
    stay = factories.PlacementFactory.create(
        animal=animal, kind="foster", due_back_on=DUE_ON, handed_over=True
    )
    factories.FollowUpFactory.create(placement=stay)
    plan = plan_lasting(
        placement=stay, kind=PlacementKind.SALE, planned_on=ON, by=None, at=BEFORE
    )
    make_packet(placement=plan, by=None, at=BEFORE)
    return stay, plan


def test_a_stay_is_made_lasting_where_the_animal_is() -> None:
    stay, plan = lasting()

    leave(plan)

    stay.refresh_from_db()
    plan.refresh_from_db()
    assert (stay.state, stay.ended_on) == ("made_lasting", ON)
    assert (plan.state, plan.handed_over_on) == ("handed_over", ON)
    assert Animal.objects.get().left_on == date(2026, 3, 2)
    assert FollowUp.objects.get(placement=stay).dropped_at == AT
    assert FollowUp.objects.filter(placement=plan).count() == 3
    assert AuditEntry.objects.filter(verb="make_lasting").count() == 1


def test_a_stay_that_ended_meanwhile_is_not_made_lasting() -> None:
    stay, plan = lasting()
    Placement.objects.filter(pk=stay.pk).update(state="came_back", ended_on=ON)

    with pytest.raises(PlacementStateError, match="is came back"):
        leave(plan)

    assert Placement.objects.get(pk=plan.pk).state == "planned"


@pytest.mark.parametrize("on", [date(2026, 3, 1), date(2026, 3, 21)])
def test_it_lasts_from_a_day_of_the_stay(on: date) -> None:
    _, plan = lasting()

    with pytest.raises(PlanError, match="the stay began on 2026-03-02"):
        hand_over(placement=plan, on=on, by=None, at=AT)


def test_a_vets_word_on_a_treatment_holds_for_a_stay_that_lasts() -> None:
    stay, plan = lasting()
    prescription = factories.PrescriptionFactory.create(
        animal=stay.animal, until_on=date(2026, 3, 25)
    )
    factories.TreatmentHandoverFactory.create(placement=stay, prescription=prescription)

    leave(plan)

    plan.refresh_from_db()
    assert plan.state == "handed_over"
