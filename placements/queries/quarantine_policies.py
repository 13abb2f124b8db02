"""What the house decided about quarantine."""

from collections.abc import Collection, Mapping

from django.db.models import Q

from husbandry.rules.vocabulary import HealthTestKind
from placements.models import QuarantinePolicy
from placements.rules.quarantine.policies import QuarantineRule, rule_for


def quarantine_rules(*, species_ids: Collection[int]) -> Mapping[int, QuarantineRule]:
    """Return the policy that holds for each species now; one query.

    Args:
        species_ids: of which; none asks for nothing.

    Returns:
        By species, the shipped policy where the house has decided nothing.
    """
    newest: dict[int | None, QuarantineRule] = {}
    # Oldest first, so that the newest stays; decisions are few.
    for row in QuarantinePolicy.objects.filter(
        Q(species__in=species_ids) | Q(species__isnull=True)
    ).order_by("made_at", "pk"):
        newest[row.species_id] = rule_value(row)
    return {species: rule_for(species, newest) for species in species_ids}


def rule_value(row: QuarantinePolicy) -> QuarantineRule:
    """Return a policy as the rules read it."""
    return QuarantineRule(
        needed=row.needed,
        group=row.group,
        days=row.days,
        tests=row.tests,
        test_kind=HealthTestKind(row.test_kind),
        tests_apart_days=row.tests_apart_days,
        weight_days=row.weight_days,
        most_loss_pct=row.most_loss_pct,
        reason=row.reason,
    )
