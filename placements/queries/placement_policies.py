"""What was agreed that animals have to be and have before they leave."""

from datetime import UTC

from placements.models import PlacementPolicy
from placements.rules.gates.policies import Policy, PolicyRow
from placements.rules.vocabulary import PaperKind, PlacementKind, SexNeed


def policy_rows() -> tuple[PolicyRow, ...]:
    """Return every policy on record, the newest first; one query."""
    rows = PlacementPolicy.objects.order_by("-made_at", "-pk")
    return tuple(
        PolicyRow(
            species_id=row.species_id,
            kind=PlacementKind(row.kind) if row.kind else None,
            policy=policy_value(row),
        )
        for row in rows
    )


def policy_value(row: PlacementPolicy) -> Policy:
    """Return a policy on record as the rules see it."""
    return Policy(
        least_age_days=row.least_age_days,
        least_mass_g=row.least_mass_g,
        sex=SexNeed(row.sex),
        papers=tuple(PaperKind(kind) for kind in row.papers),
        application=row.application,
        home_ready=row.home_ready,
        made_on=row.made_at.astimezone(UTC).date(),
    )
