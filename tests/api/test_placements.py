"""Placements, packets, homes and the audit trail: who may see whose data."""

from datetime import UTC, datetime
from io import BytesIO

import pytest
from pypdf import PdfReader
from rest_framework.test import APIClient

from core.models import User
from core.roles import GRANTS, Permission, Role
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Species
from placements.actions.homes import add_home
from placements.actions.packets import make_packet
from placements.models import Packet
from placements.rules.packets.documents import digest
from tests.api.conftest import Caller
from tests.factories import (
    NOW,
    AnimalFactory,
    AuditEntryFactory,
    HomeFactory,
    PacketFactory,
    PlacementFactory,
    UserFactory,
)

API = "/api/v1"


@pytest.fixture
def coordinator(caller: Caller) -> APIClient:
    return caller(Role.ADOPTION_COORDINATOR)


def test_homes(coordinator: APIClient) -> None:
    row = HomeFactory(name="The Greys", notes="A tall room.")

    assert coordinator.get(f"{API}/homes/").json() == {
        "next": None,
        "results": [
            {
                "id": row.pk,
                "name": "The Greys",
                "kind": "household",
                "contact": "2 Mill Lane",
                "email": "",
                "notes": "A tall room.",
                "units": "metric",
                "paper": "a4",
                "language": "en",
                "keep_until": None,
                "erased_at": None,
            }
        ],
    }


def test_placements(coordinator: APIClient) -> None:
    row = PlacementFactory(animal=AnimalFactory(code="V-1"))
    second = PacketFactory(placement=row, number="A-2-2", version=2)
    first = PacketFactory(placement=row, number="A-2")
    gone = PlacementFactory(handed_over=True, kind="sale")

    assert coordinator.get(f"{API}/placements/?animal=V-1").json()["results"] == [
        {
            "id": row.pk,
            "animal": {"id": row.animal.pk, "code": "V-1"},
            "home": row.home.pk,
            "kind": "adoption",
            "state": "planned",
            "planned_on": "2026-03-20",
            "handed_over_on": None,
            "due_back_on": None,
            "ended_on": None,
            "release_place": "",
            "follows": None,
            "packets": [
                {"id": first.pk, "code": "A-2"},
                {"id": second.pk, "code": "A-2-2"},
            ],
        }
    ]
    rows = coordinator.get(f"{API}/placements/?state=handed_over").json()["results"]
    assert [found["id"] for found in rows] == [gone.pk]
    rows = coordinator.get(f"{API}/placements/?kind=sale").json()["results"]
    assert [found["id"] for found in rows] == [gone.pk]


def test_a_placement_without_its_home(
    coordinator: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = PlacementFactory()
    role = Role.ADOPTION_COORDINATOR
    monkeypatch.setitem(GRANTS, role, GRANTS[role] - {Permission.SEE_HOMES})

    answer = coordinator.get(f"{API}/placements/{row.pk}/")

    assert answer.json()["home"] is None
    assert row.home.name not in answer.content.decode()


@pytest.fixture
def packet(db: None) -> Packet:
    load_shipped_profiles(by=None, at=NOW)
    species = Species.objects.get(code="veiled_chameleon")
    placement = PlacementFactory(
        animal=AnimalFactory(species=species, code="V-1", name="Juno"),
        home=HomeFactory(name="The Greys"),
    )
    return make_packet(placement=placement, by=None, at=NOW)


def test_a_packet_with_everything_it_says(
    coordinator: APIClient, packet: Packet
) -> None:
    answer = coordinator.get(f"{API}/packets/{packet.pk}/")

    found = answer.json()
    assert {name: found[name] for name in found if name != "document"} == {
        "id": packet.pk,
        "number": packet.number,
        "version": 1,
        "placement": packet.placement.pk,
        "animal": {"id": packet.placement.animal.pk, "code": "V-1"},
        "sha256": packet.sha256,
        "made_at": "2026-03-02T12:00:00Z",
    }
    assert found["document"]["animal"]["name"] == "Juno"
    assert found["document"]["plan"] is not None
    assert "The Greys" not in answer.content.decode()


def test_what_is_answered_is_what_was_hashed(
    coordinator: APIClient, packet: Packet
) -> None:
    found = coordinator.get(f"{API}/packets/{packet.pk}/").json()

    assert digest(found["document"]) == packet.sha256


def test_an_altered_packet_is_refused(coordinator: APIClient, packet: Packet) -> None:
    packet.snapshot["animal"]["sex"] = "male"
    packet.save()

    for address in (f"{packet.pk}/", f"{packet.pk}/pdf/"):
        answer = coordinator.get(f"{API}/packets/{address}")

        assert answer.status_code == 409
        assert answer["Content-Type"] == "application/problem+json"
        assert answer.json()["code"] == "packet_altered"


def test_a_packet_as_pdf(coordinator: APIClient, packet: Packet) -> None:
    answer = coordinator.get(
        f"{API}/packets/{packet.pk}/pdf/", headers={"accept": "application/pdf"}
    )

    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == (
        f'attachment; filename="{packet.number}.pdf"'
    )
    text = "".join(p.extract_text() for p in PdfReader(BytesIO(answer.content)).pages)
    assert "Juno" in text
    assert packet.number in text


def test_packet_filters(coordinator: APIClient) -> None:
    row = PacketFactory(number="A-1")
    PacketFactory()

    for query in (
        "number=A-1",
        f"placement={row.placement.pk}",
        f"animal={row.placement.animal.code}",
    ):
        found = coordinator.get(f"{API}/packets/?{query}").json()["results"]
        assert [one["id"] for one in found] == [row.pk]


def test_audit_entries(caller: Caller) -> None:
    row = AuditEntryFactory(
        by=UserFactory(username="ada"),
        after={"code": "V-1"},
        subject_id="17",
        reason="New.",
    )
    nobody = AuditEntryFactory(
        by=None, at=datetime(2026, 1, 1, tzinfo=UTC), verb="x", subject_id="18"
    )
    vet = caller(Role.VET)

    found = vet.get(f"{API}/audit-entries/").json()["results"]

    assert found[0] == {
        "id": row.pk,
        "at": "2026-03-02T12:00:00Z",
        "by": "ada",
        "verb": "register_animal",
        "subject": "husbandry.animal",
        "subject_id": "17",
        "before": {},
        "after": {"code": "V-1"},
        "reason": "New.",
    }
    assert (found[1]["id"], found[1]["by"]) == (nobody.pk, None)

    def ids(query: str) -> list[int]:
        rows = vet.get(f"{API}/audit-entries/?{query}").json()["results"]
        return [one["id"] for one in rows]

    assert ids("by=ada") == ids("subject=husbandry.animal&subject_id=17") == [row.pk]
    assert ids("verb=x") == ids("until_at=2026-02-01T00:00:00Z") == [nobody.pk]
    assert ids("from_at=2026-02-01T00:00:00Z") == [row.pk]


def test_entries_about_what_may_not_be_seen_are_left_out(caller: Caller) -> None:
    home = add_home(name="The Greys", contact="2 Mill Lane", by=None, at=NOW)
    guarded = {
        AuditEntryFactory(subject=subject, after=after).pk
        for subject, after in (
            ("placements.home", {"name": "The Greys"}),
            ("placements.placement", {"home": home.pk}),
            ("placements.packet", {}),
            ("core.user", {"name": "The Greys"}),
            ("core.apitoken", {}),
        )
    }
    open_to_all = AuditEntryFactory()

    vet = caller(Role.VET).get(f"{API}/audit-entries/")
    manager = caller(Role.MANAGER).get(f"{API}/audit-entries/")
    owner = caller(Role.OWNER).get(f"{API}/audit-entries/")

    assert {row["subject"] for row in vet.json()["results"]} == {
        "husbandry.animal",
        "placements.placement",
        "placements.packet",
    }
    assert open_to_all.pk in {row["id"] for row in vet.json()["results"]}
    assert "Grey" not in vet.content.decode()
    assert {row["subject"] for row in manager.json()["results"]} == {
        "husbandry.animal",
        "placements.home",
        "placements.placement",
        "placements.packet",
    }
    assert guarded < {row["id"] for row in owner.json()["results"]}
    # Other records may have the home's number.
    about = ("placements.home", str(home.pk))
    entry = next(
        row
        for row in owner.json()["results"]
        if (row["subject"], row["subject_id"]) == about
    )
    one = caller(Role.VET).get(f"{API}/audit-entries/{entry['id']}/")
    assert one.status_code == 404


@pytest.mark.parametrize("role", list(Role))
def test_no_other_resource_names_a_home(role: Role, caller: Caller) -> None:
    home = HomeFactory(name="The Greys", contact="2 Mill Lane", notes="Grey door")
    PacketFactory(placement=PlacementFactory(home=home))
    add_home(name="The Greys", contact="2 Mill Lane", by=User.objects.first(), at=NOW)
    client = caller(role)

    for address in ("animals", "stays", "placements", "packets", "audit-entries"):
        text = client.get(f"{API}/{address}/").content.decode()
        assert "Grey" not in text
        assert "Mill" not in text
