"""Packets as files, and many of them at once."""

from io import BytesIO
from pathlib import Path
from typing import Any

import icalendar
import pytest
from pypdf import PdfReader
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Species
from placements import pdf
from placements.actions.packet_jobs import draw_waiting
from placements.actions.packets import make_packet
from placements.models import Packet, PacketJob
from tests.api.conftest import Caller
from tests.factories import NOW, AnimalFactory, PlacementFactory

API = "/api/v1"
PDF = {"accept": "application/pdf"}


@pytest.fixture
def coordinator(caller: Caller) -> APIClient:
    return caller(Role.ADOPTION_COORDINATOR)


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def packet(db: None) -> Packet:
    load_shipped_profiles(by=None, at=NOW)
    species = Species.objects.get(code="veiled_chameleon")
    placement = PlacementFactory(
        animal=AnimalFactory(species=species, code="V-1", name="Juno")
    )
    return make_packet(placement=placement, by=None, at=NOW)


def text_of(answer: Any) -> str:
    pages = PdfReader(BytesIO(answer.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_card_and_the_labels(coordinator: APIClient, packet: Packet) -> None:
    answer = coordinator.get(f"{API}/packets/{packet.pk}/cards/", headers=PDF)

    assert answer.status_code == 200
    assert answer["Content-Disposition"] == (
        f'attachment; filename="{packet.number}-cards.pdf"'
    )
    found = text_of(answer)
    assert "LIVE ANIMAL" in found.upper()
    assert found.count("V-1") >= 3
    assert "Basking spot, temperature by day" in found


def test_the_days_as_a_calendar(coordinator: APIClient, packet: Packet) -> None:
    address = f"{API}/packets/{packet.pk}/calendar/"

    answer = coordinator.get(address, headers={"accept": "text/calendar"})

    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar"
    calendar = icalendar.Calendar.from_ical(answer.content)
    entries = list(calendar.walk("VEVENT"))
    assert len(entries) > 50
    assert all("Juno" in str(entry["summary"]) for entry in entries)
    assert len({str(entry["uid"]) for entry in entries}) == len(entries)
    again = coordinator.get(address, headers={"accept": "text/calendar"})
    assert again.content == answer.content


@pytest.mark.parametrize(
    ("door", "accept"), [("cards", "application/pdf"), ("calendar", "text/calendar")]
)
def test_nothing_is_made_of_an_altered_packet(
    door: str, accept: str, coordinator: APIClient, packet: Packet
) -> None:
    packet.snapshot["animal"]["sex"] = "male"
    packet.save()

    answer = coordinator.get(
        f"{API}/packets/{packet.pk}/{door}/", headers={"accept": accept}
    )

    assert (answer.status_code, answer.json()["code"]) == (409, "packet_altered")


def test_packets_are_asked_for_drawn_and_fetched(coordinator: APIClient) -> None:
    rows = [PlacementFactory(animal__code=f"V-{n}") for n in (1, 2)]

    asked = coordinator.post(
        f"{API}/packet-jobs/", {"placements": [row.pk for row in rows]}
    )

    assert asked.status_code == 201
    batch, jobs = asked.json()["batch"], asked.json()["jobs"]
    assert [job["animal"]["code"] for job in jobs] == ["V-1", "V-2"]
    assert {job["state"] for job in jobs} == {"waiting"}
    first = f"{API}/packet-jobs/{jobs[0]['id']}/"
    early = coordinator.get(f"{first}pdf/", headers=PDF)
    assert early.status_code == 404
    assert "it is waiting" in early.json()["detail"]

    draw_waiting(draw=pdf.draw, at=NOW)

    found = coordinator.get(f"{API}/packet-jobs/?batch={batch}").json()["results"]
    assert [job["state"] for job in found] == ["done", "done"]
    answer = coordinator.get(f"{first}pdf/", headers=PDF)
    assert answer["Content-Disposition"] == 'attachment; filename="P-2026-0001.pdf"'
    assert "P-2026-0001" in text_of(answer)


def test_a_file_that_was_removed_says_where_to_draw_it_anew(
    coordinator: APIClient,
) -> None:
    coordinator.post(f"{API}/packet-jobs/", {"placements": [PlacementFactory().pk]})
    draw_waiting(draw=lambda packet: b"%PDF", at=NOW)
    job = PacketJob.objects.get()
    job.file.storage.delete(job.file.name)

    answer = coordinator.get(f"{API}/packet-jobs/{job.pk}/pdf/", headers=PDF)

    assert answer.status_code == 404
    assert f"packets/{job.packet_id}/pdf/" in answer.json()["detail"]


def test_what_cannot_be_packed_is_refused_and_nothing_is_taken(
    coordinator: APIClient,
) -> None:
    gone = PlacementFactory(state="called_off", animal__code="V-9")

    answer = coordinator.post(
        f"{API}/packet-jobs/", {"placements": [PlacementFactory().pk, gone.pk]}
    )

    assert (answer.status_code, answer.json()["code"]) == (409, "nothing_to_pack")
    assert "V-9" in answer.json()["detail"]
    unknown = coordinator.post(f"{API}/packet-jobs/", {"placements": [777777]})
    assert (unknown.status_code, unknown.json()["code"]) == (400, "unknown_placement")
    assert not PacketJob.objects.exists()


def test_what_failed_is_asked_for_again(coordinator: APIClient) -> None:
    coordinator.post(f"{API}/packet-jobs/", {"placements": [PlacementFactory().pk]})
    job = PacketJob.objects.get()
    early = coordinator.post(f"{API}/packet-jobs/{job.pk}/again/")
    PacketJob.objects.update(state="failed", finished_at=NOW, problem="Out of paper.")

    answer = coordinator.post(f"{API}/packet-jobs/{job.pk}/again/")

    assert (early.status_code, early.json()["code"]) == (409, "job_not_failed")
    assert (answer.status_code, answer.json()["state"]) == (200, "waiting")


def test_a_packet_is_made_at_once_and_once(
    coordinator: APIClient, packet: Packet
) -> None:
    body = {"placement": packet.placement_id}
    packet.placement.animal.name = "Junia"
    packet.placement.animal.save()

    made = coordinator.post(f"{API}/packets/", body)
    again = coordinator.post(f"{API}/packets/", body)

    assert (made.status_code, again.status_code) == (201, 201)
    row = Packet.objects.latest("pk")
    found = made.json()
    assert found.pop("made_at").endswith("Z")
    assert found == {
        "id": row.pk,
        "number": row.number,
        "version": 2,
        "placement": packet.placement_id,
        "animal": {"id": packet.placement.animal_id, "code": "V-1"},
        "sha256": row.sha256,
    }
    newest = Packet.objects.latest("pk")
    assert again.json()["id"] == newest.pk


def test_a_packet_of_nothing_is_refused(coordinator: APIClient, packet: Packet) -> None:
    missing = coordinator.post(f"{API}/packets/", {"placement": 10**9})
    off = PlacementFactory(state="called_off")
    called_off = coordinator.post(f"{API}/packets/", {"placement": off.pk})

    assert missing.status_code == 400
    assert called_off.status_code == 409
    assert Packet.objects.count() == 1
