"""Care profiles: their versions, whole and with their sources; published, tried."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.files import file_sent
from api.filters import CharFilter, FilterSet, WholeNumberFilter
from api.named import species_named
from api.parsers import JsonFileBody, YamlBody
from api.structs import Asked, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.profiles import publish_profile
from husbandry.models import CareProfile
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.standings import count_standings
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Standing

LARGEST_BYTES = 2_000_000


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


class PublishAsked(Asked, frozen=True, kw_only=True):
    """For whom a text is published, and from when on it judges."""

    species: Annotated[
        str, Meta(description="Code of the species; the text names the same.")
    ]
    effective_on: Annotated[
        date,
        Meta(
            description="Nights from this local day on are judged by it; those that "
            "were reviewed are reviewed again."
        ),
    ]


class ProfileTrialOut(Out, frozen=True):
    """What a text that can be read says, counted."""

    species: Annotated[str, Meta(description="Code that the text names.")]
    common_name: str
    targets: int
    sources: int
    standings: Annotated[
        dict[Standing, int], Meta(description="How many rows rest on what.")
    ]


class Profiles(Rows[CareProfile]):
    """A version is never altered; a change is a new one."""

    plural = "care profiles"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.EDIT_PROFILES,
        "trial": Permission.EDIT_PROFILES,
    }
    parser_classes = (YamlBody, JsonFileBody, MultiPartParser)
    asks = {"create": PublishAsked}
    filterset_class = ProfileFilter
    takes = {"create": bytes, "trial": bytes}
    gives = {
        "retrieve": ProfileDetail,
        "create": {HTTPStatus.CREATED: ProfileOut},
        "trial": ProfileTrialOut,
    }
    out = ProfileOut
    ordering = ("species_id", "-version", "id")
    searched = ("species__code",)
    orderable = ("id", "version", "effective_on", "published_at")

    def get_queryset(self) -> QuerySet[CareProfile]:
        """Return all versions of all profiles."""
        return CareProfile.objects.select_related("species")

    def shown(self, rows: Sequence[CareProfile]) -> list[ProfileOut]:
        """Return versions without their text."""
        return [ProfileOut(**_values(row)) for row in rows]

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Show one version with its text."""
        row, choose = self.one(), self.choosing()
        text, name = row.source_text, f"{row.species.code} v{row.version}"
        profile = read_profile(text, name=name)
        found = ProfileDetail(**_values(row), document=text, profile=profile)
        return Response(choose(found))

    def create(self, request: Request) -> Response:
        """Publish a new version of a species' care profile, kept word for word.

        The body is the profile itself, as YAML or as JSON, each value with its source;
        or the part `file` of a form. 409 lists everything that is wrong with it, by
        line. Safe to send again: the newest text sent once more is refused.
        """
        asked = self.asked
        assert isinstance(asked, PublishAsked)  # noqa: S101 - see `asks`
        row = publish_profile(
            species=species_named(asked.species),
            text=_text(request),
            effective_on=asked.effective_on,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=False, methods=["post"], url_path="try")
    def trial(self, request: Request) -> Response:
        """Say what a text says, or everything that is wrong with it; store nothing."""
        profile = read_profile(_text(request), name="The care profile")
        return Response(
            ProfileTrialOut(
                species=profile.species,
                common_name=profile.common_name,
                targets=len(profile.targets),
                sources=len(profile.sources),
                standings=count_standings(profile),
            )
        )


def _text(request: Request) -> str:
    data, _ = file_sent(
        request,
        what="A care profile",
        most=LARGEST_BYTES,
        hint="One species has one profile.",
        kind="YAML or JSON",
    )
    try:
        return data.decode()
    except UnicodeDecodeError as error:
        raise RefusedError(
            "not_text",
            f"The profile is not UTF-8 text (byte {error.start}); save it as UTF-8.",
            fields={"file": "YAML or JSON in UTF-8"},
        ) from error


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
