"""Review policies: which hold, which limits there are, and what is refused."""

from datetime import date, timedelta

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from husbandry.models import ReviewPolicy
from husbandry.rules.vocabulary import FindingKind
from tests.api.racks import Json, ids
from tests.factories import NOW, ReviewPolicyFactory, SiteFactory

POLICIES = "/api/v1/review-policies/"
OVERDUE_LIMITS = [
    {
        "name": "overdue_after_days",
        "unit": "days",
        "low": 1,
        "high": 365,
        "whole": True,
    }
]


def tomorrow() -> str:
    return (timezone.now().date() + timedelta(days=1)).isoformat()


def body(**changes: object) -> Json:
    said: Json = {
        "site": "vescora",
        "kind": "weighing_overdue",
        "from_on": tomorrow(),
        "urgency": "today",
        "limits": {"overdue_after_days": 21},
        "reason": "Weighed every fortnight here.",
    }
    return said | changes


def test_decide(owner: APIClient) -> None:
    site = SiteFactory.create(code="vescora")

    answer = owner.post(POLICIES, body())

    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("made_at").endswith("Z")
    assert found.pop("made_by").startswith("person")
    assert found == {
        "id": ReviewPolicy.objects.get().pk,
        **body(),
        "site": {"id": site.pk, "code": "vescora"},
        "switched_on": True,
        "known_limits": OVERDUE_LIMITS,
    }


def test_without_a_day_it_is_today(owner: APIClient) -> None:
    SiteFactory.create(code="vescora", time_zone="UTC")

    answer = owner.post(
        POLICIES,
        {
            "site": "vescora",
            "kind": "lamp_worn",
            "switched_on": False,
            "reason": "LED.",
        },
    )

    found = answer.json()
    assert answer.status_code == 201
    assert (found["from_on"], found["switched_on"]) == (found["made_at"][:10], False)
    assert (found["urgency"], found["limits"]) == (None, {})


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"site": "nowhere"}, 400, {"site": "one of vescora"}),
        ({"urgency": "soon"}, 400, {"urgency": "now, today, watch"}),
        ({"limits": {"overdue_after_days": "21"}}, 400, None),
        ({"limits": {"stall_days": 21}}, 409, {"limits": "overdue_after_days"}),
        (
            {"limits": {"overdue_after_days": 1e300}},
            409,
            {"overdue_after_days": "1 to 365 days"},
        ),
        (
            {"limits": {"overdue_after_days": 2.5}},
            409,
            {"overdue_after_days": "a whole number, 1 to 365 days"},
        ),
        (
            {"kind": "no_profile", "limits": {}, "switched_on": False},
            409,
            {"switched_on": "true"},
        ),
        ({"from_on": "2026-01-01"}, 409, None),
        ({"reason": " "}, 409, {"reason": "not blank"}),
        ({"limits": {str(n): 1 for n in range(21)}}, 400, None),
    ],
)
def test_what_cannot_be_decided_is_refused(
    changes: Json, status: int, fields: Json | None, owner: APIClient
) -> None:
    SiteFactory.create(code="vescora")

    answer = owner.post(POLICIES, body(**changes))

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not ReviewPolicy.objects.exists()


def test_which_limits_there_are(viewer: APIClient) -> None:
    told = viewer.get(f"{POLICIES}limits/").json()

    by_kind = {row["kind"]: row for row in told}
    assert set(by_kind) == {kind.value for kind in FindingKind}
    assert by_kind["weighing_overdue"] == {
        "kind": "weighing_overdue",
        "can_be_switched_off": True,
        "limits": OVERDUE_LIMITS,
    }
    assert by_kind["no_profile"] == {
        "kind": "no_profile",
        "can_be_switched_off": False,
        "limits": [],
    }
    assert viewer.get(f"{POLICIES}limits/?kind=no_profile").status_code == 400


def test_read_and_filter(viewer: APIClient) -> None:
    site = SiteFactory.create(code="vescora")
    first = ReviewPolicyFactory.create(site=site, made_at=NOW - timedelta(days=9))
    next_ = ReviewPolicyFactory.create(
        site=site, from_on=date(2026, 2, 1), made_at=NOW - timedelta(days=8)
    )
    # Decided later, for an earlier day than the one before; it never held alone.
    early = ReviewPolicyFactory.create(
        site=site, from_on=date(2026, 1, 5), made_at=NOW - timedelta(days=7)
    )
    # Twice for one day, at one instant: the last row holds.
    same = ReviewPolicyFactory.create(
        site=site, from_on=date(2026, 2, 1), made_at=NOW - timedelta(days=8)
    )
    other = ReviewPolicyFactory.create(kind="lamp_worn", made_at=NOW)

    def found(query: str) -> list[int]:
        return ids(viewer, POLICIES, query)

    assert found("") == [other.pk, early.pk, same.pk, next_.pk, first.pk]
    assert found("site=vescora&on=2026-01-04") == [first.pk]
    assert found("site=vescora&on=2026-01-31") == [early.pk]
    assert found("on=2026-02-01") == [other.pk, same.pk]
    assert found("on=2025-12-31") == []
    assert found("kind=lamp_worn") == [other.pk]
    assert viewer.get(f"{POLICIES}{first.pk}/").json()["limits"] == {}
