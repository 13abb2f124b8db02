"""Decide how newcomers of a species are kept apart."""

from datetime import datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.models import Species
from placements.models import QuarantinePolicy
from placements.rules.quarantine.policies import QuarantineRule, check_policy

_TOLD = (
    *("species", "needed", "group", "days", "tests", "test_kind", "tests_apart_days"),
    *("weight_days", "most_loss_pct"),
)


@transaction.atomic
def set_quarantine_policy(
    *, species: Species | None, rule: QuarantineRule, by: User | None, at: datetime
) -> QuarantinePolicy:
    """Decide what has to be so before animals of a species leave quarantine.

    It replaces the decision before it as a whole, and holds at once, also for those
    that are in quarantine already; their group stays what it was when they came.

    Args:
        species: whose; None: all that have no policy of their own.
        rule: what is asked for, and why.
        by: the person.
        at: now.

    Returns:
        The row.

    Raises:
        QuarantinePolicyError: a value that cannot be, or no reason.
    """
    check_policy(rule)
    before = (
        QuarantinePolicy.objects.filter(species=species)
        .order_by("-made_at", "-pk")
        .first()
    )
    policy = QuarantinePolicy.objects.create(
        species=species,
        needed=rule.needed,
        group=rule.group.strip(),
        days=rule.days,
        tests=rule.tests,
        test_kind=rule.test_kind.value,
        tests_apart_days=rule.tests_apart_days,
        weight_days=rule.weight_days,
        most_loss_pct=rule.most_loss_pct,
        reason=rule.reason.strip(),
        made_by=by,
        made_at=at,
    )
    audit.record(
        policy,
        verb="set_quarantine_policy",
        by=by,
        at=at,
        before=audit.values(before, *_TOLD) if before else {},
        after=audit.values(policy, *_TOLD),
        reason=policy.reason,
    )
    return policy
