"""Decide for a site which findings the review reports, how urgent, from which limits."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.models import Site, User
from husbandry.models import ReviewPolicy
from husbandry.queries.policies import policies_in_force
from husbandry.rules.policies import Policy, PolicyError, check_policy
from husbandry.rules.vocabulary import FindingKind, Urgency


@transaction.atomic
def set_policy(
    *,
    site: Site,
    kind: FindingKind,
    from_on: date,
    switched_on: bool,
    urgency: Urgency | None,
    limits: Mapping[str, Decimal],
    reason: str,
    by: User | None,
    at: datetime,
) -> ReviewPolicy:
    """Decide about one kind of finding, from a local day on.

    Nights that ended before keep having been judged as they were. The decision
    replaces the one before it as a whole; to go back to the profile's own limits,
    decide again without any.

    Args:
        site: where it holds.
        kind: which finding.
        from_on: first local day that is judged by it, today or later.
        switched_on: False: it is not reported any more; open ones close.
        urgency: how urgent it is, never less than found for the kinds in
            `rules.policies.NEVER_LESS`; None: as the review finds it.
        limits: in place of the profile's, by name; see `rules.policies.LIMITS`.
        reason: why.
        by: the person.
        at: now.

    Returns:
        The row.

    Raises:
        PolicyError: no reason, a day that is past, a limit that there is not or
            that cannot be, or a finding that must not be switched off.
    """
    if not reason.strip():
        raise PolicyError(
            "Say why: whoever misses a finding later must be able to read it.",
            fields={"reason": "not blank"},
        )
    today = at.astimezone(ZoneInfo(site.time_zone)).date()
    if from_on < today:
        raise PolicyError(
            f"{from_on:%d %b %Y} is past; nights that were judged stay judged. Give "
            f"{today:%d %b %Y} or a later day.",
            fields={"from_on": f"{today} or later"},
        )
    checked = check_policy(kind, switched_on=switched_on, limits=limits)
    before = policies_in_force(site=site, on=from_on).get(kind)
    policy = ReviewPolicy.objects.create(
        site=site,
        kind=kind.value,
        from_on=from_on,
        switched_on=switched_on,
        urgency=urgency.value if urgency else "",
        limits={name: f"{value:f}" for name, value in checked.items()},
        reason=reason.strip(),
        made_by=by,
        made_at=at,
    )
    audit.record(
        policy,
        verb="set_policy",
        by=by,
        at=at,
        before=_told(before),
        after=audit.values(
            policy, "site", "kind", "from_on", "switched_on", "urgency", "limits"
        ),
        reason=policy.reason,
    )
    return policy


def _told(policy: Policy | None) -> dict[str, object]:
    if policy is None:
        return {}
    return {
        "from_on": policy.from_on,
        "switched_on": policy.switched_on,
        "urgency": policy.urgency.value if policy.urgency else "",
        "limits": {name: f"{value:f}" for name, value in policy.limits},
    }
