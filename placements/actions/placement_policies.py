"""Decide what animals have to be and have before they leave."""

from datetime import datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.models import Species
from placements.models import PlacementPolicy
from placements.rules.gates.policies import Policy, check_policy
from placements.rules.vocabulary import PlacementKind


@transaction.atomic
def set_placement_policy(
    *,
    species: Species | None,
    kind: PlacementKind | None,
    policy: Policy,
    reason: str,
    by: User | None,
    at: datetime,
) -> PlacementPolicy:
    """Decide what is asked before animals leave, from now on.

    The newest decision for the same species and kind replaces the ones before it as a
    whole. Animals that have left keep having left.

    Args:
        species: for which; None: all that have no policy of their own.
        kind: for which; None: all kinds that have no policy of their own.
        policy: what is asked; its standing and day are not stored.
        reason: why.
        by: the person.
        at: now.

    Raises:
        PlacementPolicyError: no reason, or something that cannot be asked.
    """
    check_policy(policy, reason=reason)
    row = PlacementPolicy.objects.create(
        species=species,
        kind=kind.value if kind else "",
        least_age_days=policy.least_age_days,
        least_mass_g=policy.least_mass_g,
        sex=policy.sex.value,
        papers=[paper.value for paper in policy.papers],
        application=policy.application,
        home_ready=policy.home_ready,
        reason=reason.strip(),
        made_by=by,
        made_at=at,
    )
    asked = ("least_age_days", "least_mass_g", "sex", "papers")
    after = audit.values(row, "species", "kind", *asked, "application", "home_ready")
    audit.record(
        row,
        verb="set_placement_policy",
        by=by,
        at=at,
        after=after,
        reason=reason.strip(),
    )
    return row
