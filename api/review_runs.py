"""Review runs: which nights were reviewed, and how complete the data were."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Any

from django.db.models import QuerySet
from msgspec import Meta

from api.filters import BooleanFilter, CharFilter, DayFilter, FilterSet, WordFilter
from api.structs import Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
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
    }
    filterset_class = ReviewRunFilter
    out = ReviewRunOut
    ordering = ("-on", "-id")

    def get_queryset(self) -> QuerySet[ReviewRun]:
        """Return all runs."""
        return ReviewRun.objects.select_related("site", "started_by")

    def shown(self, rows: Sequence[ReviewRun]) -> list[ReviewRunOut]:
        """Return runs with their site's code."""
        return [_shown(row) for row in rows]


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
