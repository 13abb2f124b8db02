"""What a site has decided about the review."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q

from core.models import Site
from husbandry.models import Animal, ReviewPolicy
from husbandry.queries.profiles import (
    ProfileVersion,
    profile_in_force,
    profiles_in_force,
)
from husbandry.queries.stays import site_of
from husbandry.rules.policies import Policy, tuned
from husbandry.rules.vocabulary import FindingKind, Urgency


def policies_in_force(*, site: Site, on: date) -> dict[FindingKind, Policy]:
    """Return what a site decided that holds for a night, by kind; one query.

    Args:
        site: where.
        on: the local day that is judged.
    """
    rows = ReviewPolicy.objects.filter(policies_held(on=on), site=site)
    rows = rows.select_related("made_by").order_by("kind")
    return {FindingKind(row.kind): policy_value(row) for row in rows}


def policies_held(*, on: date) -> Q:
    """Return the condition of holding for a night, the newest of each site and kind.

    Args:
        on: the local day that is judged.
    """
    made_later = Q(made_at__gt=OuterRef("made_at"))
    made_later |= Q(made_at=OuterRef("made_at"), pk__gt=OuterRef("pk"))
    newer = Q(from_on__gt=OuterRef("from_on"))
    newer |= Q(from_on=OuterRef("from_on")) & made_later
    others = ReviewPolicy.objects.filter(
        newer, site=OuterRef("site"), kind=OuterRef("kind"), from_on__lte=on
    )
    return Q(~Exists(others), from_on__lte=on)


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


def site_profiles(
    *, site: Site, species_ids: Collection[int], on: date
) -> dict[int, ProfileVersion]:
    """Return care profiles as a site judges by them: with its own limits.

    Two queries.

    Args:
        site: whose limits stand in place of the profile's.
        species_ids: of these species; one without a profile is absent.
        on: the local day.
    """
    policies = tuple(policies_in_force(site=site, on=on).values())
    versions = profiles_in_force(species_ids=species_ids, on=on)
    return {
        species: replace(version, profile=tuned(version.profile, policies))
        for species, version in versions.items()
    }


def profile_for(*, animal: Animal, on: date, at: datetime) -> ProfileVersion | None:
    """Return an animal's care profile as its site judges by it; three queries.

    Args:
        animal: which.
        on: the local day.
        at: an instant of it; where it was then, or last before, is its site.
    """
    site, species = site_of(animal=animal, at=at), animal.species_id
    if site is None:
        return profile_in_force(species_id=species, on=on)
    return site_profiles(site=site, species_ids=[species], on=on).get(species)
