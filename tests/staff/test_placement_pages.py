"""The pages of placements: what is to be done, each gate, and each thing one can do."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from core.roles import Role
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import GateOpening, Packet, Placement, TreatmentHandover
from placements.rules.vocabulary import PlacementKind, PlacementState
from tests import factories
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db


def today() -> date:
    return timezone.now().date()


def animal(code: str = "V-0801") -> Animal:
    factories.OrganisationFactory()
    found = factories.AnimalFactory.create(
        code=code, arrived_on=today() - timedelta(days=200)
    )
    factories.StayFactory.create(
        animal=found, from_at=datetime.now(UTC) - timedelta(days=100)
    )
    return found


def sale(code: str = "V-0801", **details: object) -> Placement:
    return factories.PlacementFactory.create(
        **{
            "animal": animal(code),
            "kind": PlacementKind.SALE.value,
            "home": factories.HomeFactory.create(name=f"Household of {code}"),
            "planned_on": today() + timedelta(days=3),
            "created_at": timezone.now(),
            **details,
        }
    )


def text(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_what_is_to_be_done_is_told_with_each_shut_gate(visitor: Visitor) -> None:
    row = sale()

    told = text(visitor(Role.ADOPTION_COORDINATOR), "/placements/")

    assert "one gate is shut" in told
    assert "It has no packet yet." in told
    assert "Household of V-0801" in told
    assert f"/placements/{row.pk}/" in told


def test_who_may_not_see_homes_reads_no_name(visitor: Visitor) -> None:
    row = sale()
    vet, viewer = visitor(Role.VET), visitor(Role.VIEWER)

    assert "Household" not in text(vet, "/placements/")
    assert "Household" not in text(vet, f"/placements/{row.pk}/")
    assert "V-0801" not in text(viewer, "/placements/")


def test_a_placement_is_planned_packed_and_handed_over(visitor: Visitor) -> None:
    subject, home = animal(), factories.HomeFactory.create()
    client = visitor(Role.ADOPTION_COORDINATOR)
    typed = {
        "animal": subject.pk,
        "kind": "sale",
        "home": home.pk,
        "planned_on": today().isoformat(),
    }

    planned = client.post("/placements/plan/", typed)
    row = Placement.objects.get()
    assert planned.headers["Location"] == f"/placements/{row.pk}/"

    refused = client.post(f"/placements/{row.pk}/hand-over/", {"on": today()})
    assert refused.status_code == 409
    assert "It has no packet yet" in refused.content.decode()

    client.post(f"/placements/{row.pk}/packet/")
    assert Packet.objects.count() == 1
    done = client.post(f"/placements/{row.pk}/hand-over/", {"on": today()})

    assert done.status_code == 302
    row.refresh_from_db()
    subject.refresh_from_db()
    assert (row.state, subject.status) == (
        PlacementState.HANDED_OVER.value,
        AnimalStatus.PLACED.value,
    )


def test_a_plan_that_cannot_be_keeps_what_was_typed(visitor: Visitor) -> None:
    subject = animal()
    typed = {"animal": subject.pk, "kind": "foster", "planned_on": today()}

    answer = visitor(Role.OWNER).post("/placements/plan/", typed)

    assert answer.status_code == 409
    assert Placement.objects.count() == 0
    assert f'value="{subject.pk}" selected' in answer.content.decode()


def test_a_gate_is_opened_with_a_reason_and_shut_again(visitor: Visitor) -> None:
    row = sale(kind=PlacementKind.ADOPTION.value)
    manager, place = visitor(Role.MANAGER), f"/placements/{row.pk}/"
    shut = text(manager, place)
    assert "Application accepted: <strong" in shut

    empty = manager.post(
        f"{place}open-gate/", {"gate": "application_accepted", "reason": ""}
    )
    assert empty.status_code == 400
    opened = manager.post(
        f"{place}open-gate/",
        {"gate": "application_accepted", "reason": "Known for ten years."},
    )

    assert opened.status_code == 302
    assert "Opened, because: Known for ten years." in text(manager, place)
    manager.post(f"{place}shut-gate/", {"gate": "application_accepted"})
    assert GateOpening.objects.get().shut_again_at is not None


def test_a_gate_that_is_none_and_one_that_nobody_opens_are_refused(
    visitor: Visitor,
) -> None:
    row = sale()
    manager, place = visitor(Role.MANAGER), f"/placements/{row.pk}/open-gate/"

    for gate, told in (("drawbridge", "no gate"), ("packet_made", "Nobody opens")):
        answer = manager.post(place, {"gate": gate, "reason": "Because."})
        assert answer.status_code == 409
        assert GateOpening.objects.count() == 0, told


def test_a_plan_changes_and_offers_only_its_homes_applications(
    visitor: Visitor,
) -> None:
    row, client = sale(), visitor(Role.OWNER)
    mine = factories.ApplicationFactory.create(home=row.home, state="accepted")
    factories.ApplicationFactory.create(
        home__name="Household elsewhere", state="accepted"
    )
    later = today() + timedelta(days=9)
    place = f"/placements/{row.pk}/"
    assert "Household elsewhere" not in text(client, place)
    assert "Due back on" not in text(client, place)

    typed = {"planned_on": later, "application": mine.pk}
    assert client.post(f"{place}change/", typed).status_code == 302
    same = client.post(f"{place}change/", typed)
    early = client.post(f"{place}change/", {**typed, "planned_on": "2001-01-01"})

    row.refresh_from_db()
    assert (row.planned_on, row.application) == (later, mine)
    assert (same.status_code, early.status_code) == (409, 409)
    assert "Nothing would change" in same.content.decode()
    assert 'value="2001-01-01"' in early.content.decode()


def test_the_day_of_return_of_a_planned_stay_changes(visitor: Visitor) -> None:
    back_on = today() + timedelta(days=40)
    row = sale(kind=PlacementKind.FOSTER.value, due_back_on=back_on)
    typed = {"planned_on": row.planned_on, "due_back_on": back_on + timedelta(days=1)}

    visitor(Role.OWNER).post(f"/placements/{row.pk}/change/", typed)

    row.refresh_from_db()
    assert row.due_back_on == typed["due_back_on"]


def test_a_plan_is_called_off(visitor: Visitor) -> None:
    row = sale()

    visitor(Role.OWNER).post(
        f"/placements/{row.pk}/call-off/", {"reason": "They moved."}
    )

    row.refresh_from_db()
    assert row.state == PlacementState.CALLED_OFF.value


def foster() -> Placement:
    left_on = today() - timedelta(days=20)
    subject = factories.AnimalFactory.create(
        code="V-0802",
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
        due_back_on=today() - timedelta(days=1),
    )


def test_a_stay_is_made_longer_and_planned_to_last(visitor: Visitor) -> None:
    row, client = foster(), visitor(Role.OWNER)
    later = today() + timedelta(days=30)

    client.post(f"/placements/{row.pk}/extend/", {"due_back_on": later})
    row.refresh_from_db()
    assert row.due_back_on == later

    lasting = {"kind": "adoption", "planned_on": today()}
    client.post(f"/placements/{row.pk}/lasting/", lasting)
    assert Placement.objects.get(follows=row).kind == "adoption"


def test_a_death_in_its_home_is_noted(visitor: Visitor) -> None:
    row = foster()

    visitor(Role.OWNER).post(
        f"/placements/{row.pk}/died-there/", {"on": today(), "reason": "In its sleep."}
    )

    row.refresh_from_db()
    assert (row.state, row.ended_on) == (PlacementState.DIED_THERE.value, today())


def test_a_vet_says_how_a_treatment_goes_on(visitor: Visitor) -> None:
    row = sale()
    ordered = factories.PrescriptionFactory.create(
        animal=row.animal, until_on=today() + timedelta(days=9)
    )
    vet, place = visitor(Role.VET), f"/placements/{row.pk}/"
    assert "Hand a treatment over" in text(vet, place)

    vet.post(f"{place}treatment/", {"prescription": ordered.pk, "plan": "Five days."})

    assert TreatmentHandover.objects.get().plan == "Five days."
    assert "Five days." in text(vet, place)


@pytest.mark.parametrize("page", ["/placements/", "/placements/figures/", "/register/"])
def test_a_page_asks_as_often_for_three_as_for_one(page: str, visitor: Visitor) -> None:
    client = visitor(Role.OWNER)
    sale("V-0811")
    client.get(page)

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page).status_code == 200
        return len(queries)

    one = asked()
    sale("V-0812")
    sale("V-0813")

    assert asked() == one
