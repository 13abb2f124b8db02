"""What a site has decided about the review."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from core.models import Site
from husbandry.models import ReviewPolicy
from husbandry.rules.policies import Policy, tuned
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import FindingKind, Urgency


def policies_in_force(*, site: Site, on: date) -> dict[FindingKind, Policy]:
    """Return what a site decided that holds for a night, by kind; one query.

    Args:
        site: where.
        on: the local day that is judged.
    """
    rows = (
        ReviewPolicy.objects.filter(site=site, from_on__lte=on)
        .select_related("made_by")
        .order_by("from_on", "made_at", "pk")
    )
    return {FindingKind(row.kind): policy_value(row) for row in rows}


def policy_value(row: ReviewPolicy) -> Policy:
    """Return a policy as the rules read it."""
    return Policy(
        kind=FindingKind(row.kind),
        from_on=row.from_on,
        switched_on=row.switched_on,
        urgency=Urgency(row.urgency) if row.urgency else None,
        limits=tuple((name, Decimal(text)) for name, text in row.limits.items()),
        word=f"{row.made_by}: {row.reason}" if row.made_by else row.reason,
    )


def tuned_for(
    profiles: Mapping[int, Profile], policies: Iterable[Policy]
) -> dict[int, Profile]:
    """Return profiles with a site's limits, by species; those of equal limits once."""
    policies = tuple(policies)
    return {species: tuned(profile, policies) for species, profile in profiles.items()}
