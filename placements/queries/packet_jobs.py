"""Packets that are to be made and drawn, and how far they have come."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max, Min, Q, QuerySet

from placements.models import PacketJob
from placements.rules.packet_jobs import dead_since
from placements.rules.vocabulary import JobState

MOST_COUNTED = 1_000


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the packets that were asked for together have come.

    Attributes:
        finished_at: when the last of them ended; None while any is under way.
    """

    batch: str
    asked_at: datetime
    finished_at: datetime | None
    total: int
    done: int
    drawing: int
    waiting: int
    failed: int

    @property
    def ended(self) -> int:
        """Return how many are done or have failed."""
        return self.done + self.failed

    @property
    def is_over(self) -> bool:
        """Say whether nothing is under way any more."""
        return self.ended == self.total


def packet_jobs() -> QuerySet[PacketJob]:
    """Return all jobs with what a list shows of them, in one query."""
    return PacketJob.objects.select_related("placement__animal", "packet", "asked_by")


def next_job(*, at: datetime) -> PacketJob | None:
    """Return a job that nobody is at: the longest waiting, or one whose worker died.

    Args:
        at: now; what was begun ten minutes before and has not ended died.
    """
    free = Q(state=JobState.WAITING.value) | Q(
        state=JobState.DRAWING.value, started_at__lte=dead_since(at)
    )
    return PacketJob.objects.filter(free).order_by("asked_at", "pk").first()


@dataclass(frozen=True, slots=True)
class WaitingJobs:
    """How many jobs wait for a worker, at most `MOST_COUNTED`, and since when."""

    number: int
    since_at: datetime | None


def waiting_jobs() -> WaitingJobs:
    """Return how many jobs nobody has begun yet; one query."""
    asked = list(
        PacketJob.objects.filter(state=JobState.WAITING.value)
        .order_by("asked_at")
        .values_list("asked_at", flat=True)[:MOST_COUNTED]
    )
    return WaitingJobs(len(asked), asked[0] if asked else None)


def progress_of(batch: str) -> Progress | None:
    """Return how far a batch has come; None where there is no such batch."""
    rows = PacketJob.objects.filter(batch=batch).values_list(
        "state", "asked_at", "finished_at"
    )
    found = list(rows)
    if not found:
        return None
    counts = Counter(JobState(state) for state, _, _ in found)
    ends = [finished_at for _, _, finished_at in found]
    return Progress(
        batch=batch,
        asked_at=min(asked_at for _, asked_at, _ in found),
        finished_at=_last(ends),
        total=len(found),
        done=counts[JobState.DONE],
        drawing=counts[JobState.DRAWING],
        waiting=counts[JobState.WAITING],
        failed=counts[JobState.FAILED],
    )


def _last(ends: list[datetime | None]) -> datetime | None:
    known = [end for end in ends if end is not None]
    return max(known) if len(known) == len(ends) else None


def newest_batches(*, most: int) -> tuple[Progress, ...]:
    """Return how far the newest batches have come, the newest first; one query."""

    def count(state: JobState) -> Count:
        return Count("pk", filter=Q(state=state.value))

    rows = (
        PacketJob.objects.order_by()
        .values("batch")
        .annotate(
            asked=Min("asked_at"),
            ended=Max("finished_at"),
            total=Count("pk"),
            done=count(JobState.DONE),
            drawing=count(JobState.DRAWING),
            waiting=count(JobState.WAITING),
            failed=count(JobState.FAILED),
        )
        .order_by("-asked", "batch")[:most]
    )
    return tuple(
        Progress(
            batch=row["batch"],
            asked_at=row["asked"],
            finished_at=None if row["drawing"] or row["waiting"] else row["ended"],
            total=row["total"],
            done=row["done"],
            drawing=row["drawing"],
            waiting=row["waiting"],
            failed=row["failed"],
        )
        for row in rows
    )


def drawn_files(batch: str) -> list[PacketJob]:
    """Return the jobs of a batch that are done, by the number of their packet."""
    return list(
        packet_jobs()
        .filter(batch=batch, state=JobState.DONE.value)
        .order_by("packet__number", "pk")
    )
