"""Many packets at once as people ask for them and fetch them."""

from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from django.test import Client

from core.roles import Role
from placements.actions.packet_jobs import draw_waiting
from placements.models import PacketJob
from placements.rules.packets.documents import PacketDocument
from tests.factories import NOW, PlacementFactory
from tests.staff.conftest import Visitor
from tests.staff.record_forms import text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def coordinator(visitor: Visitor) -> Client:
    return visitor(Role.ADOPTION_COORDINATOR)


def quick(packet: PacketDocument) -> bytes:
    return f"%PDF {packet.number}".encode()


def whole(answer: Any) -> bytes:
    return b"".join(answer.streaming_content)


def test_packets_are_chosen_drawn_and_fetched(coordinator: Client) -> None:
    rows = [PlacementFactory.create(animal__code=f"V-{n}") for n in (1, 2)]
    page = coordinator.get("/packets/")
    assert "V-1" in text(page)
    assert "Household" not in text(page)

    answer = coordinator.post("/packets/ask/", {"placements": [r.pk for r in rows]})

    assert answer.status_code == 302
    batch = answer.headers["Location"]
    waiting = coordinator.get(batch)
    assert waiting.headers["Refresh"] == "5"
    assert "0 of 2 are over, 0 being drawn, 2 waiting" in text(waiting)
    draw_waiting(draw=quick, at=NOW)
    over = coordinator.get(batch)
    assert "Refresh" not in over.headers
    assert "All over: 2 drawn." in text(over)
    job = PacketJob.objects.order_by("pk")[0]
    file = coordinator.get(f"/packets/jobs/{job.pk}.pdf")
    assert whole(file) == b"%PDF P-2026-0001"
    assert 'filename="P-2026-0001.pdf"' in file.headers["Content-Disposition"]
    together = coordinator.get(f"{batch[:-1]}.zip")
    with ZipFile(BytesIO(whole(together))) as archive:
        assert archive.namelist() == ["P-2026-0001.pdf", "P-2026-0002.pdf"]
        assert archive.read("P-2026-0002.pdf") == b"%PDF P-2026-0002"
    listed = text(coordinator.get("/packets/"))
    assert "2 packets, asked for on" in listed
    assert "2 drawn" in listed


def test_nothing_chosen_says_so_beside_the_field(coordinator: Client) -> None:
    PlacementFactory.create()

    answer = coordinator.post("/packets/ask/", {})

    assert answer.status_code == 400
    assert "Choose one or more." in text(answer)
    assert not PacketJob.objects.exists()


def test_what_is_not_planned_cannot_be_chosen(coordinator: Client) -> None:
    gone = PlacementFactory.create(state="called_off")

    answer = coordinator.post("/packets/ask/", {"placements": [gone.pk]})

    assert answer.status_code == 400
    assert not PacketJob.objects.exists()


def test_what_failed_says_why_and_is_tried_again(
    coordinator: Client, visitor: Visitor
) -> None:
    row = PlacementFactory.create(animal__code="V-7")
    page = coordinator.post("/packets/ask/", {"placements": [row.pk]})
    batch = page.headers["Location"]
    PacketJob.objects.update(state="failed", finished_at=NOW, problem="Out of paper.")
    job = PacketJob.objects.get()
    shown = text(coordinator.get(batch))
    assert "Out of paper." in shown
    assert "Try V-7 again" in shown
    assert "Try V-7 again" not in text(visitor(Role.VET).get(batch))

    coordinator.post(f"/packets/jobs/{job.pk}/again/")
    twice = coordinator.post(f"/packets/jobs/{job.pk}/again/", follow=True)

    job.refresh_from_db()
    assert job.state == "waiting"
    assert "only what has failed" in text(twice)


def test_what_is_not_there_is_not_found(coordinator: Client) -> None:
    row = PlacementFactory.create()
    coordinator.post("/packets/ask/", {"placements": [row.pk]})
    job = PacketJob.objects.get()

    for path in (
        f"/packets/jobs/{job.pk}.pdf",
        f"/packets/batches/{job.batch}.zip",
        "/packets/batches/nothing/",
        "/packets/jobs/777777.pdf",
    ):
        assert coordinator.get(path).status_code == 404, path


def test_a_file_that_was_removed_is_drawn_anew(coordinator: Client) -> None:
    row = PlacementFactory.create()
    coordinator.post("/packets/ask/", {"placements": [row.pk]})
    draw_waiting(draw=quick, at=NOW)
    job = PacketJob.objects.get()
    job.file.storage.delete(job.file.name)

    answer = coordinator.get(f"/packets/jobs/{job.pk}.pdf")

    assert answer.headers["Location"] == f"/packets/{job.packet_id}.pdf"


def test_progress_takes_the_same_queries_for_many(
    coordinator: Client, django_assert_max_num_queries: Any
) -> None:
    rows = [PlacementFactory.create() for _ in range(6)]
    one = coordinator.post("/packets/ask/", {"placements": [rows[0].pk]})
    many = coordinator.post("/packets/ask/", {"placements": [r.pk for r in rows]})
    draw_waiting(draw=quick, at=NOW)

    for answer in (one, many):
        with django_assert_max_num_queries(4):
            coordinator.get(answer.headers["Location"])
