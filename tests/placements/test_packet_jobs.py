"""Many packets at once: rows with a state, drawn by any number of workers."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from threading import Barrier, Lock

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, connections

from core.errors import DomainError
from core.models import AuditEntry
from placements.actions import packet_jobs
from placements.actions.packet_jobs import (
    UNFORESEEN,
    JobNotFailedError,
    NothingToPackError,
    ask_again,
    ask_for_packets,
    draw_waiting,
)
from placements.models import Packet, PacketJob
from placements.queries.packet_jobs import newest_batches, progress_of
from placements.rules.packets.documents import PacketDocument
from placements.tasks import draw_packets
from tests.factories import PlacementFactory, UserFactory

AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
LATER = AT + timedelta(minutes=10, seconds=30)
pytestmark = pytest.mark.django_db


class KilledError(BaseException):
    """What a worker's end looks like from within."""


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: object) -> Path:
    folder = tmp_path / "media"
    settings.MEDIA_ROOT = folder  # type: ignore[attr-defined] - pytest-django's own
    return folder


def quick(packet: PacketDocument) -> bytes:
    return f"drawn {packet.number}".encode()


def killed(packet: PacketDocument) -> bytes:
    raise KilledError


def broken(packet: PacketDocument) -> bytes:
    raise ZeroDivisionError


def content(job: PacketJob) -> bytes:
    with job.file.open() as file:
        found: bytes = file.read()
    return found


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*.pdf"))


def test_packets_are_asked_for_and_drawn(media: Path) -> None:
    by = UserFactory()
    placements = [PlacementFactory(), PlacementFactory()]
    batch = ask_for_packets(placements=[*placements, placements[0]], by=by, at=AT)

    taken = draw_waiting(draw=quick, at=AT)

    assert taken == 2
    jobs = list(PacketJob.objects.filter(batch=batch).order_by("pk"))
    assert [(j.state, j.tries, j.problem) for j in jobs] == [("done", 1, "")] * 2
    assert [j.placement for j in jobs] == placements
    for job in jobs:
        assert job.packet is not None
        assert content(job) == f"drawn {job.packet.number}".encode()
        assert job.packet.made_by == by
    assert files(media) == [f"{job.pk}-1.pdf" for job in jobs]
    entries = AuditEntry.objects.filter(verb="ask_for_packet")
    assert {entry.by for entry in entries} == {by}
    assert entries.count() == 2


def test_progress() -> None:
    placements = [PlacementFactory() for _ in range(4)]
    batch = ask_for_packets(placements=placements, by=None, at=AT)
    draw_waiting(draw=quick, at=AT, most=2)
    PacketJob.objects.filter(placement=placements[2]).update(
        state="failed", finished_at=AT, problem="x"
    )

    found = progress_of(batch)

    assert found is not None
    assert (found.total, found.done, found.waiting, found.failed) == (4, 2, 1, 1)
    assert (found.ended, found.is_over, found.finished_at) == (3, False, None)
    draw_waiting(draw=quick, at=AT)
    over = progress_of(batch)
    assert over is not None
    assert over.is_over
    assert over.finished_at is not None
    assert newest_batches(most=5) == (over,)
    assert progress_of("f" * 32) is None


@pytest.mark.parametrize("state", ["called_off", "came_back"])
def test_what_cannot_be_packed_is_named_and_nothing_is_taken(state: str) -> None:
    ended = {"came_back": {"handed_over_on": AT.date(), "ended_on": AT.date()}}
    gone = PlacementFactory(animal__code="V-1", state=state, **ended.get(state, {}))

    with pytest.raises(NothingToPackError, match="V-1") as raised:
        ask_for_packets(placements=[PlacementFactory(), gone], by=None, at=AT)

    assert "planned or handed over" in raised.value.sentence
    assert not PacketJob.objects.exists()


def test_nothing_chosen_is_refused() -> None:
    with pytest.raises(NothingToPackError, match="No placement is chosen"):
        ask_for_packets(placements=[], by=None, at=AT)


def test_too_many_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packet_jobs, "MOST_AT_ONCE", 1)

    with pytest.raises(NothingToPackError, match="at most 1"):
        ask_for_packets(
            placements=[PlacementFactory(), PlacementFactory()], by=None, at=AT
        )


def test_what_was_killed_midway_is_taken_again(media: Path) -> None:
    batch = ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)
    with pytest.raises(KilledError):
        draw_waiting(draw=killed, at=AT)
    job = PacketJob.objects.get(batch=batch)
    assert job.state == "drawing"

    early = draw_waiting(draw=quick, at=AT + timedelta(minutes=9))
    late = draw_waiting(draw=quick, at=LATER)

    assert (early, late) == (0, 1)
    job.refresh_from_db()
    assert (job.state, job.tries) == ("done", 2)
    assert files(media) == [f"{job.pk}-2.pdf"]
    # The packet itself was made once: it says the same.
    assert Packet.objects.count() == 1


def test_what_is_killed_again_and_again_is_given_up() -> None:
    batch = ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)
    for n in range(3):
        with pytest.raises(KilledError):
            draw_waiting(draw=killed, at=AT + n * timedelta(minutes=11))

    taken = draw_waiting(draw=quick, at=AT + timedelta(hours=1))

    job = PacketJob.objects.get(batch=batch)
    assert (taken, job.state, job.tries) == (0, "failed", 3)
    assert "never ended it" in job.problem
    assert job.finished_at is not None
    assert job.finished_at - AT >= timedelta(hours=1)


def test_an_unforeseen_error_is_tried_thrice_and_told(
    caplog: pytest.LogCaptureFixture, media: Path
) -> None:
    good = PlacementFactory()
    batch = ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)

    taken = draw_waiting(draw=broken, at=AT)

    job = PacketJob.objects.get(batch=batch)
    assert (taken, job.state, job.tries, job.problem) == (3, "failed", 3, UNFORESEEN)
    assert caplog.text.count(f"packet job {job.pk} could not be drawn") == 3
    assert files(media) == []
    # The next one is none the worse for it.
    ask_for_packets(placements=[good], by=None, at=AT)
    assert draw_waiting(draw=quick, at=AT) == 1


def test_what_a_person_can_mend_is_told_at_once_and_asked_for_again() -> None:
    class NoPaperError(DomainError):
        pass

    def refuse(packet: PacketDocument) -> bytes:
        raise NoPaperError("The paper is out.")

    batch = ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)
    assert draw_waiting(draw=refuse, at=AT) == 1
    job = PacketJob.objects.get(batch=batch)
    assert (job.state, job.tries, job.problem) == ("failed", 1, "The paper is out.")

    ask_again(job=job, by=None, at=AT)
    with pytest.raises(JobNotFailedError, match="is waiting; only what has failed"):
        ask_again(job=job, by=None, at=AT)
    draw_waiting(draw=quick, at=AT)

    job.refresh_from_db()
    assert (job.state, job.problem) == ("done", "")


def test_a_placement_called_off_meanwhile_fails_with_its_reason() -> None:
    placement = PlacementFactory()
    batch = ask_for_packets(placements=[placement], by=None, at=AT)
    type(placement).objects.update(state="called_off")

    draw_waiting(draw=quick, at=AT)

    job = PacketJob.objects.get(batch=batch)
    assert job.state == "failed"
    assert "is called off" in job.problem
    assert not Packet.objects.exists()


def test_who_was_taken_for_dead_and_is_not_changes_nothing(media: Path) -> None:
    batch = ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)

    def slow(packet: PacketDocument) -> bytes:
        # While it is at it, another worker takes the job over and ends it.
        assert draw_waiting(draw=quick, at=LATER) == 1
        return b"late"

    draw_waiting(draw=slow, at=AT)

    job = PacketJob.objects.get(batch=batch)
    assert (job.state, job.tries) == ("done", 2)
    assert content(job).startswith(b"drawn P-")
    assert files(media) == [f"{job.pk}-2.pdf"]


def test_the_task_and_the_command_draw_what_waits(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)
    assert draw_packets.run() == 1
    job = PacketJob.objects.get()
    assert content(job).startswith(b"%PDF-")

    out = StringIO()
    ask_for_packets(placements=[PlacementFactory()], by=None, at=AT)
    call_command("draw_packets", stdout=out)
    call_command("draw_packets", stdout=out)
    assert out.getvalue() == "1 taken.\nNothing waits to be drawn.\n"
    with pytest.raises(CommandError, match="say 1 or more"):
        call_command("draw_packets", most=0)


@pytest.fixture
def share_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[[], None]:
    """Let threads meet in one database; SQLite's tests live in memory otherwise."""

    def share() -> None:
        if connection.vendor == "sqlite":
            path = str(tmp_path / "shared.sqlite3")
            with connection.cursor() as cursor:
                cursor.execute("VACUUM INTO %s", [path])
            monkeypatch.setitem(connections.settings["default"], "NAME", path)

    return share


@pytest.mark.django_db(transaction=True)
def test_two_workers_never_draw_one_job_twice(
    share_database: Callable[[], None],
) -> None:
    count = 10
    ask_for_packets(
        placements=[PlacementFactory() for _ in range(count)], by=None, at=AT
    )
    share_database()
    start, lock, drawn = Barrier(2), Lock(), []

    def note(packet: PacketDocument) -> bytes:
        with lock:
            drawn.append(packet.number)
        return quick(packet)

    def work() -> tuple[int, int]:
        try:
            start.wait(timeout=20)
            taken = draw_waiting(draw=note, at=AT)
            start.wait(timeout=60)
            return taken, PacketJob.objects.filter(state="done", tries=1).count()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(2) as pool:
        results = [
            future.result(timeout=90) for future in [pool.submit(work) for _ in "ab"]
        ]

    assert sum(taken for taken, _ in results) == count
    assert [done for _, done in results] == [count, count]
    assert sorted(drawn) == [f"P-2026-{n:04d}" for n in range(1, count + 1)]
