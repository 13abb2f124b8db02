"""Review runs: which nights were reviewed, and how complete the data were."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import BooleanFilter, CharFilter, DayFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.named import site_named
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.review import review_night
from husbandry.models import ReviewRun
from husbandry.rules.vocabulary import ReviewState


class ReviewRunFilter(FilterSet):
    """Which runs."""

    site = CharFilter("site__code", help_text="Code of the site.")
    on = DayFilter(help_text="The local day reviewed.")
    from_on = DayFilter("on", "gte", help_text="First local day.")
    until_on = DayFilter("on", "lte", help_text="Last local day.")
    state = WordFilter(ReviewState)
    stale = BooleanFilter(
        "stale_since",
        "isnull",
        exclude=True,
        help_text="true: data came later; it will run again.",
    )

    class Meta:
        model = ReviewRun
        fields = ["site", "on", "from_on", "until_on", "state", "stale"]


class ReviewRunIn(In, frozen=True, kw_only=True):
    """Which night is to be reviewed, again where it was before."""

    site: Annotated[str, Meta(description="Code of the site.")]
    on: Annotated[date, Meta(description="A local day that is over there.")]


class ReviewRunOut(Out, frozen=True):
    """One review of one site's local day."""

    about = ReviewRun
    id: int
    site: Ref | None
    on: date
    state: ReviewState
    started_at: Instant
    finished_at: Instant | None
    started_by: Annotated[str | None, Meta(description="null: the schedule.")]
    duration_ms: Annotated[int | None, Meta(description="Milliseconds.")]
    animals: int
    probes: int
    readings: int
    coverage: float | None
    findings: int
    failures: tuple[dict[str, Any], ...]
    stale_since: Instant | None


class ReviewRuns(Rows[ReviewRun]):
    """The newest night first; of one night the newest finished run holds."""

    plural = "review runs"
    permissions = {
        "list": Permission.SEE_FINDINGS,
        "retrieve": Permission.SEE_FINDINGS,
        "create": Permission.RUN_REVIEW,
    }
    filterset_class = ReviewRunFilter
    takes = {"create": ReviewRunIn}
    # That it began is on record before it is done.
    own_transactions = frozenset({"create"})
    gives = {"create": {HTTPStatus.CREATED: ReviewRunOut}}
    out = ReviewRunOut
    ordering = ("-on", "-id")
    searched = ("site__code",)
    orderable = ("id", "on", "started_at")

    def get_queryset(self) -> QuerySet[ReviewRun]:
        """Return all runs."""
        return ReviewRun.objects.select_related("site", "started_by")

    def shown(self, rows: Sequence[ReviewRun]) -> list[ReviewRunOut]:
        """Return runs with their site's code."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Review a finished local day of a site, again where it was reviewed before.

        The answer comes when it is done: seconds in a house of hundreds of animals, so
        give your client a minute. The same records give the same findings, and what
        people acknowledged stays. 409 where the day is not over, or is being reviewed
        at this moment.
        """
        given = read_body(sent(request), ReviewRunIn)
        row = review_night(
            site=site_named(given.site), on=given.on, by=self.person, at=timezone.now()
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)


def _shown(row: ReviewRun) -> ReviewRunOut:
    return ReviewRunOut(
        id=row.pk,
        site=ref(row.site),
        on=row.on,
        state=ReviewState(row.state),
        started_at=row.started_at,
        finished_at=row.finished_at,
        started_by=str(row.started_by) if row.started_by else None,
        duration_ms=row.duration_ms,
        animals=row.animals,
        probes=row.probes,
        readings=row.readings,
        coverage=row.coverage,
        findings=row.findings,
        failures=tuple(row.failures),
        stale_since=row.stale_since,
    )
