"""How clutches are kept: by their own plan, else by what the care profile wants."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from django.db.models import QuerySet

from clutches.models import Clutch, IncubationPhase, IncubationPlan
from clutches.rules.facts import Phase, PhasePlan
from clutches.rules.incubation.phases import hard_limits, plan_of_profile
from clutches.rules.vocabulary import PhaseKind
from husbandry.models import Species
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.profiles.values import Profile


def plans() -> QuerySet[IncubationPlan]:
    """Return all plans with their phases and species; two queries."""
    return IncubationPlan.objects.select_related("species").prefetch_related("phases")


def phase_plans(
    *, clutch_ids: Collection[int], profiles: Mapping[int, tuple[int, Profile]]
) -> dict[int, PhasePlan | None]:
    """Return how each clutch is kept; two queries, however many there are.

    Args:
        clutch_ids: keys of clutches; unknown ones are passed over.
        profiles: care profiles in force, by species, with their version.

    Returns:
        By clutch: its plan, else what its profile wants where eggs lie; the hard
        limits are the profile's in either case. None: neither says anything.
    """
    asked = Clutch.objects.filter(pk__in=clutch_ids).select_related("plan")
    clutches = list(asked.prefetch_related("plan__phases"))
    wanted = {
        species: plan_of_profile(profile) for species, (_, profile) in profiles.items()
    }
    return {
        clutch.pk: _own(clutch.plan, profiles.get(clutch.species_id))
        if clutch.plan is not None
        else wanted.get(clutch.species_id)
        for clutch in clutches
    }


def _own(plan: IncubationPlan, found: tuple[int, Profile] | None) -> PhasePlan:
    profile = found[1] if found else None
    low, high = hard_limits(profile) if profile else (None, None)
    standing = plan_of_profile(profile) if profile else None
    return PhasePlan(
        code=plan.code,
        name=plan.name,
        phases=phases_of(plan.phases.all()),
        hard_low_c=low,
        hard_high_c=high,
        provenance=None,
        limit_provenance=standing.limit_provenance if standing else None,
        rule_id="",
    )


def phases_of(rows: Iterable[IncubationPhase]) -> tuple[Phase, ...]:
    """Return the phases of one plan as values, in their order."""
    return tuple(
        Phase(
            kind=PhaseKind(row.kind),
            days=row.days,
            day_low_c=row.day_low_c,
            day_high_c=row.day_high_c,
            night_low_c=row.night_low_c,
            night_high_c=row.night_high_c,
        )
        for row in sorted(rows, key=lambda row: row.position)
    )


def species_profile(*, species: Species, on: date) -> Profile | None:
    """Return the care profile of a species for a day, or None; one query."""
    found = profiles_in_force(species_ids=[species.pk], on=on).get(species.pk)
    return found.profile if found else None
