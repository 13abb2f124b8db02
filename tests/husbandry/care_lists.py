"""What the tests of care records share: reviews that go stale, queries that are counted."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry
from husbandry.models import ReviewRun
from husbandry.rules.vocabulary import RowOutcome
from tests.factories import TODAY, ReviewRunFactory

DAY = timedelta(days=1)
STORED, KNOWN, REFUSED = RowOutcome.STORED, RowOutcome.KNOWN, RowOutcome.REFUSED


def judged(site: Any, *days_ago: int) -> None:
    """Make finished reviews of a site, so many days ago."""
    for days in days_ago:
        ReviewRunFactory.create(site=site, on=TODAY - days * DAY)


def stale_days(site: Any) -> set[int]:
    """Return how many days ago the reviews were that are marked stale."""
    runs = ReviewRun.objects.filter(site=site, stale_since__isnull=False)
    return {(TODAY - run.on).days for run in runs}


def queries_of(act: Callable[[], Any]) -> int:
    """Return how many queries something takes."""
    with CaptureQueriesContext(connection) as caught:
        act()
    return len(caught)


def verbs() -> list[str]:
    return list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))
