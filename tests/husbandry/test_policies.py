"""Policies of the review: decided, audited, in force from their day on."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from core.roles import Role
from husbandry.actions.policies import set_policy
from husbandry.models import ReviewPolicy
from husbandry.queries.policies import policies_in_force
from husbandry.rules.policies import PolicyError
from husbandry.rules.vocabulary import FindingKind, Urgency
from tests.factories import NOW, TODAY, SiteFactory, UserFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
K = FindingKind


def decide(**changes: Any) -> ReviewPolicy:
    asked: dict[str, Any] = {
        "kind": K.WEIGHT_LOSS,
        "from_on": TODAY,
        "switched_on": True,
        "urgency": None,
        "limits": {"loss_watch_pct": Decimal("3.5")},
        "reason": "hatchlings lose little before they die",
        "by": None,
        "at": NOW,
    }
    return set_policy(**asked | changes)


def test_a_decision_is_kept_and_audited_with_the_one_before_it() -> None:
    site, manager = SiteFactory.create(), UserFactory.create(role=Role.MANAGER.value)
    decide(site=site)

    row = decide(site=site, limits={}, urgency=Urgency.NOW, by=manager)

    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.by, entry.subject_id) == (
        "set_policy",
        manager,
        str(row.pk),
    )
    assert entry.before == {
        "from_on": str(TODAY),
        "switched_on": True,
        "urgency": "",
        "limits": {"loss_watch_pct": "3.5"},
    }
    assert entry.after["urgency"] == "now"
    assert entry.after["limits"] == {}


def test_of_several_decisions_the_last_from_the_latest_day_holds() -> None:
    site = SiteFactory.create()
    decide(site=site, limits={"loss_watch_pct": Decimal(3)})
    decide(
        site=site, limits={"loss_watch_pct": Decimal(4)}, at=NOW + timedelta(hours=1)
    )
    decide(site=site, from_on=TODAY + 2 * DAY, switched_on=False, limits={})
    decide(site=SiteFactory.create(), switched_on=False, limits={})

    before = policies_in_force(site=site, on=TODAY - DAY)
    first = policies_in_force(site=site, on=TODAY + DAY)
    later = policies_in_force(site=site, on=TODAY + 2 * DAY)

    assert before == {}
    assert dict(first[K.WEIGHT_LOSS].limits) == {"loss_watch_pct": Decimal(4)}
    assert later[K.WEIGHT_LOSS].switched_on is False


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": "  "}, "Say why"),
        ({"from_on": TODAY - DAY}, "is past; nights that were judged stay judged"),
        ({"limits": {"patience": Decimal(1)}}, "has no limit 'patience'"),
        ({"kind": K.NOT_REVIEWED, "switched_on": False, "limits": {}}, "switched off"),
    ],
)
def test_a_decision_that_cannot_be_is_refused_whole(
    changes: dict[str, Any], said: str
) -> None:
    with pytest.raises(PolicyError, match=said):
        decide(site=SiteFactory.create(), **changes)

    assert not ReviewPolicy.objects.exists()
    assert not AuditEntry.objects.exists()
