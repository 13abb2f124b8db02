"""Publish care profiles. A published version is never altered."""

from datetime import date, datetime
from hashlib import sha256
from pathlib import Path

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import Site, User
from husbandry.actions.staleness import mark_stale
from husbandry.models import CareProfile, Species
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.standings import count_standings
from husbandry.rules.profiles.values import Profile

SHIPPED = Path(__file__).resolve().parents[1] / "profiles"


class SameProfileError(DomainError):
    """The text is the newest version's, so that nothing would change."""

    code = "profile_unchanged"


class OtherSpeciesError(DomainError):
    """The text is about another species."""

    code = "profile_of_other_species"


@transaction.atomic
def publish_profile(
    *,
    species: Species,
    text: str,
    effective_on: date,
    by: User | None,
    at: datetime,
) -> CareProfile:
    """Publish a new version of a species' care profile.

    Args:
        species: whose code the text must name.
        text: YAML; kept word for word.
        effective_on: nights from this local day on are judged by it; reviews of
            such nights that are past are marked stale.
        by: who publishes; None: the program itself.
        at: when.

    Returns:
        The new version, one more than the newest.

    Raises:
        ProfileErrors: the text cannot be read; all problems are listed.
        OtherSpeciesError: it is about another species.
        SameProfileError: it is, letter for letter, the newest version.
    """
    profile = read_profile(text, name=f"Care profile of {species.code}")
    if profile.species != species.code:
        raise OtherSpeciesError(
            f"The text is a profile of {profile.species!r}; publish it for that "
            f"species, or write 'species: {species.code}' in it."
        )
    # On PostgreSQL this lines up two who publish at once; SQLite has one writer.
    Species.objects.select_for_update().get(pk=species.pk)
    newest = species.profiles.order_by("-version").first()
    digest = sha256(text.encode()).hexdigest()
    if newest is not None and newest.sha256 == digest:
        raise SameProfileError(
            f"The text is the same as version {newest.version}, the newest; change "
            f"something before publishing."
        )
    published = CareProfile.objects.create(
        species=species,
        version=newest.version + 1 if newest else 1,
        effective_on=effective_on,
        source_text=text,
        sha256=digest,
        published_at=at,
        published_by=by,
        summary=_summary(profile),
    )
    sites = list(Site.objects.values_list("pk", flat=True))
    mark_stale(site_ids=sites, from_on=effective_on, at=at)
    audit.record(
        published,
        verb="publish_profile",
        by=by,
        at=at,
        after=audit.values(published, "species", "version", "effective_on", "sha256"),
    )
    return published


@transaction.atomic
def load_shipped_profiles(*, by: User | None, at: datetime) -> tuple[CareProfile, ...]:
    """Publish the care profiles that come with the program, as far as they are new.

    A text that was published before, in whatever version, is left alone, so that
    what staff published since stays in force.

    Args:
        by: who asked; None: the program itself.
        at: when; the profiles are effective from its UTC day.

    Returns:
        The versions published now, in the order of their species' codes.
    """
    published = []
    for path in sorted(SHIPPED.glob("*.yaml")):
        text = path.read_text(encoding="utf-8")
        species = _species_of(read_profile(text, name=path.name), by=by, at=at)
        digest = sha256(text.encode()).hexdigest()
        if not species.profiles.filter(sha256=digest).exists():
            version = publish_profile(
                species=species, text=text, effective_on=at.date(), by=by, at=at
            )
            published.append(version)
    return tuple(published)


def _species_of(profile: Profile, *, by: User | None, at: datetime) -> Species:
    """Return the profile's species, added where it is new."""
    species, added = Species.objects.get_or_create(
        code=profile.species,
        defaults={
            "common_name": profile.common_name,
            "scientific_name": profile.scientific_name,
        },
    )
    if added:
        names = audit.values(species, "code", "common_name", "scientific_name")
        audit.record(species, verb="add_species", by=by, at=at, after=names)
    return species


def _summary(profile: Profile) -> dict[str, int]:
    counts = {word.value: n for word, n in count_standings(profile).items()}
    return {
        "targets": len(profile.targets),
        "sources": len(profile.sources),
        **counts,
    }
