"""Many packets at once: asked for, drawn by a worker, fetched when they are done."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import (
    CharFilter,
    FilterSet,
    InstantFilter,
    WholeNumberFilter,
    WordFilter,
)
from api.inputs import read_body, sent
from api.renderers import Pdf
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.errors import NotFoundError
from core.roles import Permission
from placements.actions.packet_jobs import ask_again, ask_for_packets
from placements.models import PacketJob, Placement
from placements.queries.packet_jobs import packet_jobs
from placements.rules.packet_jobs import MOST_AT_ONCE
from placements.rules.vocabulary import JobState


class PacketJobFilter(FilterSet):
    """Which jobs."""

    batch = CharFilter(help_text="Those asked for together.")
    state = WordFilter(JobState)
    placement = WholeNumberFilter(
        "placement_id", least=0, most=2**63 - 1, help_text="Number of the placement."
    )
    from_at = InstantFilter(
        "asked_at", "gte", help_text="Asked for at this instant or later."
    )
    until_at = InstantFilter(
        "asked_at", "lt", help_text="Asked for before this instant."
    )

    animal = CharFilter("placement__animal__code", help_text="Code of the animal.")

    class Meta:
        model = PacketJob
        fields = [
            "batch",
            "state",
            "placement",
            "animal",
            *("from_at", "until_at"),
        ]


class PacketJobOut(Out, frozen=True):
    """One packet that is to be made and drawn."""

    about = PacketJob
    id: int
    batch: str
    placement: int
    animal: Ref | None
    state: JobState
    tries: int
    asked_at: Instant
    asked_by: str | None
    started_at: Instant | None
    finished_at: Instant | None
    packet: Annotated[Ref | None, Meta(description="The packet, once it is made.")]
    problem: str


class PacketJobIn(In, frozen=True):
    """Whose packets are to be made."""

    placements: Annotated[
        tuple[Annotated[int, Meta(ge=1, le=2**63 - 1)], ...],
        Meta(
            min_length=1,
            max_length=MOST_AT_ONCE,
            description="Numbers of placements, planned or handed over.",
        ),
    ]


class PacketJobsOut(Out, frozen=True):
    """What was asked for together."""

    batch: Annotated[
        str, Meta(description="By it its jobs are listed: `?batch=`, until all ended.")
    ]
    jobs: tuple[PacketJobOut, ...]


class PacketJobs(Rows[PacketJob]):
    """The newest asked for first; a worker takes them within a minute."""

    plural = "packet jobs"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
        "create": Permission.MANAGE_PLACEMENTS,
        "again": Permission.MANAGE_PLACEMENTS,
        "pdf": Permission.SEE_PLACEMENTS,
    }
    filterset_class = PacketJobFilter
    takes = {"create": PacketJobIn}
    gives = {"create": {HTTPStatus.CREATED: PacketJobsOut}, "pdf": bytes}
    out = PacketJobOut
    ordering = ("-asked_at", "-id")
    searched = ("batch", "placement__animal__code")
    orderable = ("id", "asked_at", "started_at", "finished_at")

    def get_queryset(self) -> QuerySet[PacketJob]:
        """Return all jobs."""
        return packet_jobs()

    def shown(self, rows: Sequence[PacketJob]) -> list[PacketJobOut]:
        """Return jobs with what they are about."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Ask that packets be made and drawn; all of them, or none with 409."""
        given = read_body(sent(request), PacketJobIn)
        batch = ask_for_packets(
            placements=_placements(given.placements),
            by=self.person,
            at=timezone.now(),
        )
        jobs = self.get_queryset().filter(batch=batch).order_by("pk")
        told = PacketJobsOut(batch=batch, jobs=tuple(_shown(job) for job in jobs))
        return Response(told, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def again(self, request: Request, **kwargs: str) -> Response:
        """Ask once more for a packet that failed."""
        job = ask_again(job=self.one(), by=self.person, at=timezone.now())
        return Response(_shown(job))

    @action(detail=True, renderer_classes=[Pdf])
    def pdf(self, request: Request, **kwargs: str) -> Response:
        """Give the file that was drawn; 404 while there is none."""
        row = self.one()
        if row.packet is None or not row.file:
            raise NotFoundError(
                f"The packet of job {row.pk} is not drawn: it is {row.state}."
            )
        try:
            with row.file.open() as file:
                drawn = file.read()
        except FileNotFoundError as error:
            raise NotFoundError(
                f"The file of job {row.pk} was removed. Draw it anew: "
                f"packets/{row.packet.pk}/pdf/."
            ) from error
        name = f'attachment; filename="{row.packet.number}.pdf"'
        return Response(drawn, headers={"Content-Disposition": name})


def _placements(numbers: Sequence[int]) -> list[Placement]:
    found = Placement.objects.select_related("animal").in_bulk(numbers)
    missing = [str(number) for number in numbers if number not in found]
    if missing:
        raise RefusedError(
            "unknown_placement",
            f"There is no placement {', '.join(missing)}.",
            fields={"placements": "numbers of placements on record"},
        )
    return [found[number] for number in numbers]


def _shown(row: PacketJob) -> PacketJobOut:
    packet = row.packet
    return PacketJobOut(
        id=row.pk,
        batch=row.batch,
        placement=row.placement_id,
        animal=ref(row.placement.animal),
        state=JobState(row.state),
        tries=row.tries,
        asked_at=row.asked_at,
        asked_by=row.asked_by.username if row.asked_by else None,
        started_at=row.started_at,
        finished_at=row.finished_at,
        packet=Ref(id=packet.pk, code=packet.number) if packet else None,
        problem=row.problem,
    )
