"""Placements over the API: planned, gates read and opened, handed over, ended."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from core.roles import Role
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.packets import make_packet
from placements.models import GateOpening, Placement, TreatmentHandover
from placements.rules.vocabulary import PlacementKind, PlacementState
from tests import factories
from tests.api.conftest import Caller

pytestmark = pytest.mark.django_db
API = "/api/v1"
HERE = f"{API}/placements/"


def today() -> date:
    return timezone.now().date()


def animal() -> Animal:
    factories.OrganisationFactory()
    found = factories.AnimalFactory.create(
        code="V-0801", arrived_on=today() - timedelta(days=200)
    )
    factories.StayFactory.create(
        animal=found, from_at=datetime.now(UTC) - timedelta(days=100)
    )
    return found


def away() -> Placement:
    left_on = today() - timedelta(days=20)
    subject = factories.AnimalFactory.create(
        arrived_on=left_on - timedelta(days=100),
        status=AnimalStatus.PLACED.value,
        left_on=left_on,
    )
    return factories.PlacementFactory.create(
        animal=subject,
        kind=PlacementKind.FOSTER.value,
        state=PlacementState.HANDED_OVER.value,
        planned_on=left_on,
        handed_over_on=left_on,
        due_back_on=today(),
    )


def states(body: dict[str, list[dict[str, str]]]) -> dict[str, str]:
    return {gate["gate"]: gate["state"] for gate in body["gates"]}


def test_a_sale_from_plan_to_hand_over(caller: Caller) -> None:
    animal()
    home = factories.HomeFactory.create()
    client = caller(Role.ADOPTION_COORDINATOR)
    body = {
        "animal": "V-0801",
        "kind": "sale",
        "home": home.pk,
        "planned_on": today().isoformat(),
    }

    made = client.post(HERE, body)
    assert made.status_code == 201
    row = Placement.objects.get(pk=made.json()["id"])
    place = f"{HERE}{row.pk}/"
    gates = client.get(f"{place}gates/").json()
    shut = [gate for gate in gates["gates"] if gate["state"] == "shut"]
    assert [gate["gate"] for gate in shut] == ["packet_made"]
    assert shut[0]["why"].startswith("It has no packet yet.")

    refused = client.post(f"{place}hand-over/", {"on": today().isoformat()})
    assert refused.status_code == 409
    assert "It has no packet yet" in refused.json()["detail"]
    make_packet(placement=row, by=None, at=timezone.now())
    done = client.post(f"{place}hand-over/", {"on": today().isoformat()})

    assert (done.status_code, done.json()["state"]) == (200, "handed_over")


def test_a_gate_is_opened_and_shut_again(caller: Caller) -> None:
    row = factories.PlacementFactory.create(
        animal=animal(), planned_on=today(), created_at=timezone.now()
    )
    client, place = caller(Role.MANAGER), f"{HERE}{row.pk}/"

    opened = client.post(
        f"{place}open-gate/",
        {"gate": "application_accepted", "reason": "Known for ten years."},
    )
    assert states(opened.json())["application_accepted"] == "opened"
    again = client.post(f"{place}shut-gate/", {"gate": "application_accepted"})
    assert states(again.json())["application_accepted"] == "shut"
    assert GateOpening.objects.get().shut_again_at is not None

    never = client.post(
        f"{place}open-gate/", {"gate": "packet_made", "reason": "Later."}
    )
    assert never.status_code == 409


def test_a_plan_is_called_off(caller: Caller) -> None:
    row = factories.PlacementFactory.create(animal=animal(), planned_on=today())

    answer = caller(Role.OWNER).post(
        f"{HERE}{row.pk}/call-off/", {"reason": "They moved."}
    )

    assert answer.json()["state"] == "called_off"


def test_a_stay_is_made_longer_planned_to_last_and_ended(caller: Caller) -> None:
    row, client = away(), caller(Role.OWNER)
    later = (today() + timedelta(days=9)).isoformat()

    longer = client.post(f"{HERE}{row.pk}/extend/", {"due_back_on": later})
    assert longer.json()["due_back_on"] == later
    lasting = client.post(
        f"{HERE}{row.pk}/plan-lasting/", {"kind": "adoption", "planned_on": later}
    )
    assert (lasting.status_code, lasting.json()["follows"]) == (201, row.pk)
    ended = client.post(f"{HERE}{row.pk}/died-there/", {"on": today().isoformat()})
    assert ended.json()["state"] == "died_there"
    # The plan to make it lasting is called off with it.
    follower = Placement.objects.exclude(pk=row.pk).get()
    assert follower.state == PlacementState.CALLED_OFF.value


def test_a_vet_hands_a_treatment_over(caller: Caller) -> None:
    row = factories.PlacementFactory.create(animal=animal(), planned_on=today())
    ordered = factories.PrescriptionFactory.create(
        animal=row.animal, until_on=today() + timedelta(days=9)
    )
    vet, place = caller(Role.VET), f"{HERE}{row.pk}/"
    assert states(vet.get(f"{place}gates/").json())["treatment_handed_over"] == "shut"

    answer = vet.post(
        f"{place}hand-over-treatment/",
        {"prescription": ordered.pk, "plan": "Five more days."},
    )

    assert states(answer.json())["treatment_handed_over"] == "open"
    assert TreatmentHandover.objects.get().prescription == ordered
    unknown = vet.post(
        f"{place}hand-over-treatment/", {"prescription": 10**9, "plan": "None."}
    )
    assert (unknown.status_code, unknown.json()["code"]) == (
        400,
        "unknown_prescription",
    )


@pytest.mark.parametrize("field", ["home", "application", "home_enclosure"])
def test_what_is_not_there_is_named(field: str, caller: Caller) -> None:
    animal()
    body = {
        "animal": "V-0801",
        "kind": "sale",
        field: 10**9,
        "planned_on": today().isoformat(),
    }

    answer = caller(Role.OWNER).post(HERE, body)

    assert (answer.status_code, answer.json()["code"]) == (400, f"unknown_{field}")
    assert Placement.objects.count() == 0
