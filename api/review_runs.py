"""Review runs: which nights were reviewed, and how complete the data were."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Any

from django.db.models import QuerySet
from msgspec import Meta

from api.structs import Instant, Out, Paged, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import ReviewRun
from husbandry.rules.vocabulary import ReviewState


class ReviewRunAsked(Paged, frozen=True):
    """Which runs."""

    lookups = {
        "site": "site__code",
        "from_on": "on__gte",
        "until_on": "on__lte",
        "stale": None,
    }
    site: Annotated[str | None, Meta(description="Code of the site.")] = None
    on: Annotated[date | None, Meta(description="The local day reviewed.")] = None
    from_on: Annotated[date | None, Meta(description="First local day.")] = None
    until_on: Annotated[date | None, Meta(description="Last local day.")] = None
    state: ReviewState | None = None
    stale: Annotated[
        bool | None, Meta(description="true: data came later; it will run again.")
    ] = None


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
    asks = {"list": ReviewRunAsked}
    out = ReviewRunOut
    ordering = ("-on", "-id")

    def rows(self) -> QuerySet[ReviewRun]:
        """Return all runs."""
        return ReviewRun.objects.select_related("site", "started_by")

    def narrowed(self, rows: QuerySet[ReviewRun]) -> QuerySet[ReviewRun]:
        """Return the runs asked for."""
        asked = self.asked
        assert isinstance(asked, ReviewRunAsked)  # noqa: S101 - see `asks`
        if asked.stale is not None:
            rows = rows.filter(stale_since__isnull=not asked.stale)
        return super().narrowed(rows)

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
