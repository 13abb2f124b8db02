"""A finished night is reviewed over the API, again where it was before."""

from datetime import timedelta

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.models import AuditEntry
from husbandry.models import ReviewRun
from tests.factories import ReviewRunFactory, SiteFactory
from tests.nightly.world import make_world

RUNS = "/api/v1/review-runs/"
NIGHT = {"site": "home", "on": "2026-03-01"}


def test_a_night_is_reviewed_and_reviewed_again(owner: APIClient) -> None:
    world = make_world()
    night = {"site": world.site.code, "on": "2026-03-01"}

    first, again = owner.post(RUNS, night), owner.post(RUNS, night)

    assert (first.status_code, again.status_code) == (201, 201)
    row = ReviewRun.objects.latest("pk")
    found = again.json()
    for name in ("started_at", "finished_at"):
        assert found.pop(name).endswith("Z")
    assert found.pop("duration_ms") >= 0
    assert found.pop("started_by").startswith("person")
    assert found == {
        "id": row.pk,
        "site": {"id": world.site.pk, "code": world.site.code},
        "on": "2026-03-01",
        "state": "done",
        "animals": 1,
        "probes": 2,
        "readings": 0,
        "coverage": 0.0,
        "findings": first.json()["findings"],
        "failures": [],
        "stale_since": None,
    }
    assert AuditEntry.objects.filter(verb="review_night").count() == 2


def test_a_night_that_cannot_be_reviewed_is_refused(owner: APIClient) -> None:
    site = SiteFactory(code="home", time_zone="UTC")
    today = timezone.now().date()
    ReviewRunFactory(
        site=site,
        on=today - timedelta(days=1),
        state="running",
        started_at=timezone.now(),
    )

    def refused(**changes: object) -> tuple[int, str]:
        said = {name: str(value) for name, value in (NIGHT | changes).items()}
        answer = owner.post(RUNS, said)
        return answer.status_code, answer.json()["code"]

    assert refused(site="nowhere") == (400, "unknown_site")
    assert refused(on=today) == (409, "night_not_over")
    assert refused(on=today - timedelta(days=1)) == (409, "review_running")
    assert refused(on="2300-01-01") == (400, "day_out_of_range")
    assert ReviewRun.objects.count() == 1


@pytest.mark.parametrize("body", [{"site": "home"}, {"on": "2026-03-01"}, {}])
def test_a_night_has_a_site_and_a_day(body: dict[str, str], owner: APIClient) -> None:
    assert owner.post(RUNS, body).status_code == 400
