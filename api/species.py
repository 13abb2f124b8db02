"""Species, and the published versions of their care profiles."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Any

from django.db.models import QuerySet
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import CharFilter, FilterSet, WholeNumberFilter
from api.structs import Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import CareProfile, Species
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile

SEE = {"list": Permission.SEE_ANIMALS, "retrieve": Permission.SEE_ANIMALS}


class SpeciesFilter(FilterSet):
    """Which species."""

    code = CharFilter(help_text="Its code.")

    class Meta:
        model = Species
        fields = ["code"]


class SpeciesOut(Out, frozen=True):
    """A kind of animal."""

    about = Species
    id: int
    code: str
    common_name: str
    scientific_name: str
    notes: str


class AllSpecies(Rows[Species]):
    """Each has care profiles of its own."""

    plural = "species"
    permissions = SEE
    filterset_class = SpeciesFilter
    out = SpeciesOut
    ordering = ("code", "id")

    def get_queryset(self) -> QuerySet[Species]:
        """Return all species."""
        return Species.objects.all()


class ProfileFilter(FilterSet):
    """Which profiles."""

    species = CharFilter("species__code", help_text="Code of the species.")
    version = WholeNumberFilter(
        least=1, most=2_147_483_647, help_text="Number of the version."
    )

    class Meta:
        model = CareProfile
        fields = ["species", "version"]


class ProfileOut(Out, frozen=True):
    """One version of a species' care profile."""

    about = CareProfile
    id: int
    species: Ref | None
    version: int
    effective_on: date
    published_at: Instant
    sha256: str
    summary: dict[str, Any]


class ProfileDetail(ProfileOut, frozen=True):
    """One version with its text and what the program reads in it."""

    document: Annotated[str, Meta(description="YAML, word for word as published.")]
    profile: Annotated[
        Profile,
        Meta(
            description="The same, read: temperatures in °C, humidity in %, lengths in "
            "cm, masses in g, each with its source and standing."
        ),
    ]


class Profiles(Rows[CareProfile]):
    """A version is never altered; a change is a new one."""

    plural = "care profiles"
    permissions = SEE
    filterset_class = ProfileFilter
    gives = {"retrieve": ProfileDetail}
    out = ProfileOut
    ordering = ("species_id", "-version", "id")

    def get_queryset(self) -> QuerySet[CareProfile]:
        """Return all versions of all profiles."""
        return CareProfile.objects.select_related("species")

    def shown(self, rows: Sequence[CareProfile]) -> list[ProfileOut]:
        """Return versions without their text."""
        return [ProfileOut(**_values(row)) for row in rows]

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Show one version with its text."""
        row = self.one()
        text, name = row.source_text, f"{row.species.code} v{row.version}"
        return Response(
            ProfileDetail(
                **_values(row), document=text, profile=read_profile(text, name=name)
            )
        )


def _values(row: CareProfile) -> dict[str, Any]:
    return {
        "id": row.pk,
        "species": ref(row.species),
        "version": row.version,
        "effective_on": row.effective_on,
        "published_at": row.published_at,
        "sha256": row.sha256,
        "summary": row.summary,
    }
