"""Which care profile is in force for a species on a day."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from django.db.models import Case, F, IntegerField, OuterRef, Subquery, Value, When

from core.errors import NotFoundError
from husbandry.models import CareProfile
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile

# More than the species of any one keeper and their recent versions.
PARSED_AT_ONCE = 32


@dataclass(frozen=True, slots=True)
class ProfileVersion:
    """A published version of a care profile, read."""

    id: int
    version: int
    profile: Profile


def profiles_in_force(
    *, species_ids: Collection[int], on: date
) -> dict[int, ProfileVersion]:
    """Return the care profile of each species for a day, by species; one query.

    Args:
        species_ids: species; unknown ones are passed over.
        on: the local day.

    Returns:
        The greatest version that is effective on that day. Where none is yet, the
        first version: a night before the first profile is judged by it rather than
        by nothing. Species without any profile are absent.

    Raises:
        ProfileErrors: a stored text can no longer be read.
    """
    if not species_ids:
        return {}
    effective = When(effective_on__lte=on, then=Value(0))
    best = (
        CareProfile.objects.filter(species=OuterRef("species"))
        .annotate(
            later=Case(effective, default=Value(1), output_field=IntegerField()),
            place=Case(
                When(effective_on__lte=on, then=F("version") * -1),
                default=F("version"),
                output_field=IntegerField(),
            ),
        )
        .order_by("later", "place")
    )
    rows = CareProfile.objects.filter(
        species__in=species_ids, pk=Subquery(best.values("pk")[:1])
    ).values_list("species_id", "pk", "version", "species__code", "source_text")
    return {
        species: ProfileVersion(pk, version, _read(text, f"{code} v{version}"))
        for species, pk, version, code, text in rows
    }


def profiles_on_days(
    *, wanted: Collection[tuple[int, date]]
) -> dict[tuple[int, date], Profile]:
    """Return the care profile in force for each species and day; two queries.

    Args:
        wanted: pairs of a species' key and a local day; none asks nothing.

    Returns:
        By pair, chosen as `profiles_in_force` does; pairs of a species without any
        profile are absent.

    Raises:
        ProfileErrors: a stored text can no longer be read.
    """
    species_ids = {species for species, _ in wanted}
    versions: dict[int, list[tuple[int, date, int]]] = {}
    for species, version, effective_on, pk in (
        CareProfile.objects.filter(species__in=species_ids)
        .order_by("version")
        .values_list("species_id", "version", "effective_on", "pk")
    ):
        versions.setdefault(species, []).append((version, effective_on, pk))
    chosen = {
        (species, on): _version_on(versions[species], on)
        for species, on in wanted
        if species in versions
    }
    texts = {
        pk: _read(text, f"{code} v{version}")
        for pk, version, code, text in CareProfile.objects.filter(
            pk__in=set(chosen.values())
        ).values_list("pk", "version", "species__code", "source_text")
    }
    return {pair: texts[pk] for pair, pk in chosen.items()}


def _version_on(versions: list[tuple[int, date, int]], on: date) -> int:
    """Return the key of the greatest version effective on a day, else the first's."""
    effective = [pk for _, effective_on, pk in versions if effective_on <= on]
    return effective[-1] if effective else versions[0][2]


def profile_in_force(*, species_id: int, on: date) -> ProfileVersion | None:
    """Return the care profile of one species for a day, or None; one query.

    Args:
        species_id: the species.
        on: the local day; see `profiles_in_force` for which version is chosen.

    Raises:
        ProfileErrors: the stored text can no longer be read.
    """
    return profiles_in_force(species_ids=[species_id], on=on).get(species_id)


def profile_text(*, species_code: str, version: int | None) -> str:
    """Return the text of a published care profile, word for word; one query.

    Args:
        species_code: such as veiled_chameleon.
        version: the version; None: the newest, effective or not.

    Raises:
        NotFoundError: the species has no profile, or none of that version.
    """
    texts = dict(
        CareProfile.objects.filter(species__code=species_code).values_list(
            "version", "source_text"
        )
    )
    if not texts:
        raise NotFoundError(
            f"There is no care profile of {species_code!r}; publish one, or look up "
            f"the species' code."
        )
    wanted = max(texts) if version is None else version
    if wanted not in texts:
        there = ", ".join(str(v) for v in sorted(texts))
        raise NotFoundError(
            f"{species_code!r} has no profile of version {wanted}. There are: {there}."
        )
    return texts[wanted]


@lru_cache(maxsize=PARSED_AT_ONCE)
def _read(text: str, name: str) -> Profile:
    """Return a text's profile; the same text is read once in a process.

    The text itself is the key: it says as much as its digest, and cannot disagree
    with it.
    """
    return read_profile(text, name=name)
