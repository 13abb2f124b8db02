"""Readings under codes that no probe has: listed, claimed, discarded."""

from collections.abc import Sequence
from typing import Annotated, Any

import msgspec
from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import CharFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.claimed_readings import claim_readings, discard_readings
from husbandry.models import Probe, UnclaimedReadings
from husbandry.rules.vocabulary import UnclaimedState


class UnclaimedFilter(FilterSet):
    """Which of them."""

    state = WordFilter(UnclaimedState)
    code = CharFilter("code", help_text="As it was sent.")

    class Meta:
        model = UnclaimedReadings
        fields = ["state", "code"]


class ClaimIn(In, frozen=True):
    """Whose readings they are."""

    probe: Annotated[
        str, Meta(description="Code of the probe that measured them, as on its label.")
    ]


class DiscardIn(In, frozen=True):
    """Why readings are of no use."""

    reason: Annotated[str, Meta(min_length=1, max_length=200)]


class ClaimReport(Out, frozen=True):
    """What became of each reading that was claimed."""

    received: int
    stored: int
    completed: int
    known: int
    repeated: int
    conflicting: int
    refused: Annotated[
        int,
        Meta(description="With the conflicting ones, these wait on in another row."),
    ]
    refusals: Annotated[
        tuple[str, ...], Meta(description="Why, a sentence each; the first 500.")
    ]


class UnclaimedReadingsOut(Out, frozen=True):
    """What came under one unknown code."""

    about = UnclaimedReadings
    id: int
    code: str
    state: UnclaimedState
    readings: int
    first_at: Instant
    last_at: Instant
    arrived_at: Instant
    last_arrived_at: Instant
    sent_by: str | None
    sent_with: str
    settled_by: str | None
    settled_at: Instant | None
    probe: Ref | None
    reason: str
    report: ClaimReport | None


class AllUnclaimedReadings(Rows[UnclaimedReadings]):
    """The newest first, claimed and discarded ones too."""

    plural = "unclaimed readings"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "claim": Permission.EDIT_PLACES,
        "discard": Permission.EDIT_PLACES,
    }
    filterset_class = UnclaimedFilter
    takes = {"claim": ClaimIn, "discard": DiscardIn}
    out = UnclaimedReadingsOut
    ordering = ("-last_arrived_at", "-id")
    searched = ("code", "sent_with", "reason")
    orderable = ("id", "code", "arrived_at", "last_arrived_at")

    def get_queryset(self) -> QuerySet[UnclaimedReadings]:
        """Return all of them."""
        return UnclaimedReadings.objects.select_related(
            "sent_by", "settled_by", "probe"
        )

    def shown(self, rows: Sequence[UnclaimedReadings]) -> list[UnclaimedReadingsOut]:
        """Return them with who sent and who settled them."""
        return [_shown(row) for row in rows]

    @action(detail=True, methods=["post"])
    def claim(self, request: Request, **kwargs: str) -> Response:
        """Say whose they are: they are stored as that probe's.

        They are checked and compared like posted ones, and nights that were reviewed
        without them are reviewed again. What this probe cannot have measured waits on.
        """
        row, given = self.one(), read_body(sent(request), ClaimIn)
        probe = _probe(given.probe)
        claim_readings(unclaimed=row, probe=probe, by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"])
    def discard(self, request: Request, **kwargs: str) -> Response:
        """Throw them away, with the reason; this cannot be undone."""
        row, given = self.one(), read_body(sent(request), DiscardIn)
        discard_readings(
            unclaimed=row, reason=given.reason, by=self.person, at=timezone.now()
        )
        return Response(self.shown([self.one()])[0])


def _probe(code: str) -> Probe:
    probe = Probe.objects.filter(code=code).first()
    if probe is None:
        raise RefusedError(
            "unknown_probe",
            f"There is no probe {code!r}. Give the code on its label, or add the probe "
            "first.",
            fields={"probe": "the code of a probe"},
        )
    return probe


def _shown(row: UnclaimedReadings) -> UnclaimedReadingsOut:
    report: dict[str, Any] = row.report
    return UnclaimedReadingsOut(
        id=row.pk,
        code=row.code,
        state=UnclaimedState(row.state),
        readings=row.readings,
        first_at=row.first_at,
        last_at=row.last_at,
        arrived_at=row.arrived_at,
        last_arrived_at=row.last_arrived_at,
        sent_by=str(row.sent_by) if row.sent_by else None,
        sent_with=row.sent_with,
        settled_by=str(row.settled_by) if row.settled_by else None,
        settled_at=row.settled_at,
        probe=ref(row.probe),
        reason=row.reason,
        report=msgspec.convert(report, ClaimReport) if report else None,
    )
