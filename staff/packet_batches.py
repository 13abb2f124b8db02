"""Many packets at once: choose them, see how far they are, fetch the files."""

import tempfile
import zipfile
from contextlib import suppress
from http import HTTPStatus
from typing import IO, Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from core.errors import DomainError
from core.roles import Permission
from placements.actions.packet_jobs import ask_again, ask_for_packets
from placements.models import PacketJob, Placement
from placements.queries.packet_jobs import (
    drawn_files,
    newest_batches,
    packet_jobs,
    progress_of,
)
from placements.queries.placements import placements
from placements.rules.packet_jobs import MOST_AT_ONCE
from placements.rules.vocabulary import PlacementState
from staff.doors import opens_to, person

SHOWN_BATCHES = 12
LOOK_AGAIN_S = 5


class PlacementsField(forms.ModelMultipleChoiceField[Placement]):
    """Placements to tick; who goes where is not for everybody who sees them."""

    def label_from_instance(self, obj: Placement) -> str:
        """Return the animal and the day it is to leave."""
        return f"{obj.animal}, {obj.planned_on:%-d %b %Y}"


class PacketsForm(forms.Form):
    """Whose packets are to be made."""

    placements = PlacementsField(
        label="Animals that are going to leave",
        queryset=Placement.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose one or more."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer what is planned, the soonest first."""
        super().__init__(*args, **kwargs)
        planned = placements().filter(state=PlacementState.PLANNED.value)
        field = self.fields["placements"]
        assert isinstance(field, PlacementsField)  # noqa: S101 - declared above
        field.queryset = planned.order_by("planned_on", "pk")


@opens_to(Permission.SEE_PLACEMENTS)
@require_safe
def packet_batches(request: HttpRequest) -> HttpResponse:
    """Offer the placements that are planned, and show the newest batches."""
    return _choose(request, PacketsForm())


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def ask_packets(request: HttpRequest) -> HttpResponseBase:
    """Ask for the packets that were chosen."""
    form = PacketsForm(request.POST)
    if not form.is_valid():
        return _choose(request, form, status=HTTPStatus.BAD_REQUEST)
    try:
        batch = ask_for_packets(
            placements=list(form.cleaned_data["placements"]),
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        form.add_error(None, ValidationError(error.sentence))
        return _choose(request, form, status=HTTPStatus.CONFLICT)
    return redirect("staff:packet_batch", batch)


def _choose(
    request: HttpRequest, form: PacketsForm, *, status: int = HTTPStatus.OK
) -> HttpResponse:
    context = {
        "form": form,
        "batches": newest_batches(most=SHOWN_BATCHES),
        "most": MOST_AT_ONCE,
        "may_ask": person(request).may(Permission.MANAGE_PLACEMENTS),
    }
    return render(request, "staff/packets.html", context, status=status)


@opens_to(Permission.SEE_PLACEMENTS)
@require_safe
def packet_batch(request: HttpRequest, batch: str) -> HttpResponse:
    """Show how far a batch is; while it is under way the page looks again by itself."""
    progress = progress_of(batch)
    if progress is None:
        raise Http404("Nothing was asked for under this name.")
    context = {
        "progress": progress,
        "jobs": packet_jobs().filter(batch=batch).order_by("asked_at", "pk"),
        "seconds": LOOK_AGAIN_S,
        "may_ask": person(request).may(Permission.MANAGE_PLACEMENTS),
    }
    answer = render(request, "staff/packet_batch.html", context)
    if not progress.is_over:
        answer.headers["Refresh"] = str(LOOK_AGAIN_S)
    return answer


@opens_to(Permission.SEE_PLACEMENTS)
@require_safe
def packet_job_file(
    request: HttpRequest,  # noqa: ARG001 - Django hands it over
    pk: int,
) -> HttpResponseBase:
    """Give the file that a worker drew; where it was removed, draw it anew."""
    job = get_object_or_404(packet_jobs(), pk=pk)
    if job.packet is None or not job.file:
        raise Http404("It is not drawn yet.")
    try:
        file = job.file.open()
    except FileNotFoundError:
        return redirect("staff:packet", job.packet.pk)
    return FileResponse(file, as_attachment=True, filename=f"{job.packet.number}.pdf")


@opens_to(Permission.SEE_PLACEMENTS)
@require_safe
def packet_zip(
    request: HttpRequest,  # noqa: ARG001 - Django hands it over
    batch: str,
) -> HttpResponseBase:
    """Give all files of a batch that are drawn, in one."""
    jobs = drawn_files(batch)
    if not jobs:
        raise Http404("Nothing of this batch is drawn yet.")
    return FileResponse(
        _packed(jobs),
        as_attachment=True,
        filename=f"packets-{batch[:8]}.zip",
        content_type="application/zip",
    )


def _packed(jobs: list[PacketJob]) -> IO[bytes]:
    """Return the files in one, on disk: two hundred would fill the memory."""
    together = tempfile.TemporaryFile()  # noqa: SIM115 - the answer closes it
    # What is drawn is compressed already.
    with zipfile.ZipFile(together, "w", zipfile.ZIP_STORED) as archive:
        for job in jobs:
            name = f"{job.packet}.pdf"
            if name not in archive.NameToInfo:
                _put(job, name, archive)
    together.seek(0)
    return together


def _put(job: PacketJob, name: str, archive: zipfile.ZipFile) -> None:
    """Add a job's file; one that was removed is left out."""
    with suppress(FileNotFoundError), job.file.open() as file:
        archive.writestr(name, file.read())


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def again_packet(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Ask once more for a packet that failed."""
    job = get_object_or_404(packet_jobs(), pk=pk)
    try:
        ask_again(job=job, by=person(request), at=timezone.now())
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"The packet of {job.placement.animal} waits again.")
    return redirect("staff:packet_batch", job.batch)
