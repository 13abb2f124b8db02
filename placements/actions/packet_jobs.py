"""Ask for many packets at once, and draw those that wait (ADR 0015)."""

import logging
import secrets
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from time import perf_counter

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import F, QuerySet

from core import audit
from core.errors import DomainError
from core.models import User
from core.notice_words import NoticeKind
from core.notices import News, tell
from placements.actions.packets import PacketBusyError, make_packet
from placements.models import Packet, PacketJob, Placement
from placements.queries.packet_jobs import next_job
from placements.queries.packets import load_packet
from placements.rules.packet_jobs import (
    MOST_AT_ONCE,
    MOST_TRIES,
    file_name,
    is_given_up,
)
from placements.rules.packets.documents import PacketDocument
from placements.rules.vocabulary import JobState, PlacementState

logger = logging.getLogger(__name__)

Drawing = Callable[[PacketDocument], bytes]
BATCH_BYTES = 16
# Packets are made for what is going to leave, or corrected for what has left.
PACKED = (PlacementState.PLANNED, PlacementState.HANDED_OVER)
UNFORESEEN = "An unforeseen error, which is in the server's log."
NEVER_ENDED = (
    f"It was begun {MOST_TRIES} times and its worker never ended it. Make this packet "
    "by itself and look into the server's log."
)


class NothingToPackError(DomainError):
    """Packets cannot be asked for as they were."""

    code = "nothing_to_pack"


class JobNotFailedError(DomainError):
    """Only what has failed can be asked for again."""

    code = "job_not_failed"


@transaction.atomic
def ask_for_packets(
    *, placements: Sequence[Placement], by: User | None, at: datetime
) -> str:
    """Ask that packets of several placements be made and drawn by a worker.

    Args:
        placements: planned or handed over; one named twice is made once. All or none
            are taken.
        by: the person.
        at: now.

    Returns:
        The batch: by this name its progress is asked for.

    Raises:
        NothingToPackError: none is given, too many are, or one stands elsewhere.
    """
    chosen = list({placement.pk: placement for placement in placements}.values())
    _check_can_be_packed(chosen)
    batch = secrets.token_hex(BATCH_BYTES)
    jobs = PacketJob.objects.bulk_create(
        PacketJob(placement=placement, batch=batch, asked_by=by, asked_at=at)
        for placement in chosen
    )
    deeds = [
        audit.Deed(job, "ask_for_packet", after=audit.values(job, "placement", "batch"))
        for job in jobs
    ]
    audit.record_all(deeds, by=by, at=at)
    return batch


def _check_can_be_packed(placements: Sequence[Placement]) -> None:
    if not placements:
        raise NothingToPackError(
            "No placement is chosen. Choose those whose packets are to be made.",
            fields={"placements": "one or more"},
        )
    if len(placements) > MOST_AT_ONCE:
        raise NothingToPackError(
            f"{len(placements)} packets at once are too many; ask for at most "
            f"{MOST_AT_ONCE}.",
            fields={"placements": f"at most {MOST_AT_ONCE}"},
        )
    others = [p for p in placements if PlacementState(p.state) not in PACKED]
    if others:
        told = ", ".join(
            f"{p.animal.code} ({p.state.replace('_', ' ')})" for p in others
        )
        raise NothingToPackError(
            f"No packet can be made for {told}: a placement has to be planned or handed "
            "over. Take these out and ask again.",
            fields={"placements": told},
        )


@transaction.atomic
def ask_again(*, job: PacketJob, by: User | None, at: datetime) -> PacketJob:
    """Let a job that has failed wait once more.

    Args:
        job: failed.
        by: the person.
        at: now.

    Raises:
        JobNotFailedError: it has not failed, or somebody asked again meanwhile.
    """
    changed = PacketJob.objects.filter(pk=job.pk, state=JobState.FAILED.value).update(
        state=JobState.WAITING.value, tries=0, finished_at=None
    )
    job.refresh_from_db()
    if not changed:
        raise JobNotFailedError(
            f"The packet of {job.placement.animal} is {job.state}; only what has failed "
            "is asked for again."
        )
    after = audit.values(job, "placement", "batch", "state")
    audit.record(job, verb="ask_again_for_packet", by=by, at=at, after=after)
    return job


def draw_waiting(*, draw: Drawing, at: datetime, most: int = MOST_AT_ONCE) -> int:
    """Make and draw the packets that wait, one after the other.

    Any number of workers may do so at once: each job is claimed by a conditional
    update, and what a worker left unended is taken again.

    Args:
        draw: how a packet prints; the floor above knows (`placements.pdf.draw`).
        at: when it begins; what is drawn later is dated by the time that has passed.
        most: how many at most.

    Returns:
        How many were taken, done or not.
    """
    began = perf_counter()
    for taken in range(most):
        now = at + timedelta(seconds=perf_counter() - began)
        job = _claim(at=now)
        if job is None:
            return taken
        _work(job, draw=draw, at=now, began=perf_counter())
    return most


def _claim(*, at: datetime) -> PacketJob | None:
    """Take the next job that nobody is at; None where nothing waits."""
    while (job := next_job(at=at)) is not None:
        # The row as it was read: who is later changes nothing.
        as_read = PacketJob.objects.filter(
            pk=job.pk, state=job.state, tries=job.tries, started_at=job.started_at
        )
        if is_given_up(job.tries):
            as_read.update(
                state=JobState.FAILED.value, finished_at=at, problem=NEVER_ENDED
            )
            _drop_files(job, upto=job.tries)
        elif as_read.update(
            state=JobState.DRAWING.value, started_at=at, tries=F("tries") + 1
        ):
            job.tries, job.started_at = job.tries + 1, at
            return job
    return None


def _work(job: PacketJob, *, draw: Drawing, at: datetime, began: float) -> None:
    try:
        packet = make_packet(placement=job.placement, by=job.asked_by, at=at)
        drawn = draw(load_packet(packet.pk))
    except PacketBusyError as error:
        _fail(job, error.sentence, at=at, for_good=False)
    except DomainError as error:
        _fail(job, error.sentence, at=at, for_good=True)
    except Exception:
        logger.exception("packet job %s could not be drawn", job.pk)
        _fail(job, UNFORESEEN, at=at, for_good=False)
    else:
        _finish(job, packet, drawn, at=at + timedelta(seconds=perf_counter() - began))


def _finish(job: PacketJob, packet: Packet, drawn: bytes, *, at: datetime) -> None:
    name = job.file.storage.save(_path(job, job.tries), ContentFile(drawn))
    with transaction.atomic():
        done = _still_mine(job).update(
            state=JobState.DONE.value,
            packet=packet,
            file=name,
            finished_at=at,
            problem="",
        )
        if done:
            tell({NoticeKind.PACKET_DRAWN}, lambda: [_news(job, packet)], at=at)
    if done:
        _drop_files(job, upto=job.tries - 1)
    else:
        # Taken for dead, and somebody else has it now.
        job.file.storage.delete(name)


def _news(job: PacketJob, packet: Packet) -> News:
    data = {
        "batch": job.batch,
        "number": packet.number,
        "placement": job.placement_id,
        "animal": job.placement.animal.code,
    }
    return News(NoticeKind.PACKET_DRAWN, job.pk, data)


def _fail(job: PacketJob, problem: str, *, at: datetime, for_good: bool) -> None:
    ended = for_good or is_given_up(job.tries)
    state = JobState.FAILED if ended else JobState.WAITING
    _still_mine(job).update(
        state=state.value, problem=problem, finished_at=at if ended else None
    )


def _still_mine(job: PacketJob) -> QuerySet[PacketJob]:
    """Return the row, unless another worker has taken it meanwhile."""
    return PacketJob.objects.filter(
        pk=job.pk,
        state=JobState.DRAWING.value,
        tries=job.tries,
        started_at=job.started_at,
    )


def _path(job: PacketJob, tries: int) -> str:
    return f"packets/{file_name(batch=job.batch, job_id=job.pk, tries=tries)}"


def _drop_files(job: PacketJob, *, upto: int) -> None:
    """Remove what tries that never ended may have left behind."""
    for tries in range(1, upto + 1):
        job.file.storage.delete(_path(job, tries))
