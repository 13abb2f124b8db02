"""Species: the kinds of animals."""

from http import HTTPStatus
from typing import Annotated

import msgspec
from django.db.models import QuerySet
from django.utils import timezone
from msgspec import UNSET, Meta, UnsetType
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Text
from api.filters import CharFilter, FilterSet
from api.inputs import read_body, sent
from api.structs import In, Out
from api.views import Rows
from core.roles import Permission
from husbandry.actions.species import add_species, change_species
from husbandry.models import Species

NAME = Annotated[str, Meta(min_length=1, max_length=120)]
NATIVE = "Lives wild where this organisation works; only then may it ever be released."


class SpeciesFilter(FilterSet):
    """Which species."""

    code = CharFilter(help_text="Its code.")

    class Meta:
        model = Species
        fields = ["code"]


class SpeciesIn(In, frozen=True, kw_only=True):
    """A kind of animal."""

    code: Annotated[
        str,
        Meta(
            min_length=1,
            max_length=60,
            description="As care profiles name it: letters, digits, hyphens and "
            "underscores; set once.",
        ),
    ]
    common_name: NAME
    scientific_name: NAME
    notes: Text = ""
    native_here: Annotated[bool, Meta(description=NATIVE)] = False


class SpeciesChangeIn(In, frozen=True, kw_only=True):
    """What of a species changes; what is left out stays."""

    common_name: NAME | UnsetType = UNSET
    scientific_name: NAME | UnsetType = UNSET
    notes: Text | UnsetType = UNSET
    native_here: Annotated[bool | UnsetType, Meta(description=NATIVE)] = UNSET


class SpeciesOut(Out, frozen=True):
    """A kind of animal."""

    about = Species
    id: int
    code: str
    common_name: str
    scientific_name: str
    notes: str
    native_here: bool


class AllSpecies(Rows[Species]):
    """Each has care profiles of its own."""

    plural = "species"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.EDIT_PROFILES,
        "change": Permission.EDIT_PROFILES,
    }
    filterset_class = SpeciesFilter
    takes = {"create": SpeciesIn, "change": SpeciesChangeIn}
    gives = {"create": {HTTPStatus.CREATED: SpeciesOut}}
    out = SpeciesOut
    ordering = ("code", "id")
    searched = ("code", "common_name", "scientific_name", "notes")
    orderable = ("id", "code", "common_name", "scientific_name")

    def get_queryset(self) -> QuerySet[Species]:
        """Return all species."""
        return Species.objects.all()

    def create(self, request: Request) -> Response:
        """Add a species; nights judge nothing of it until it has a care profile."""
        given = read_body(sent(request), SpeciesIn)
        row = add_species(
            **msgspec.structs.asdict(given), by=self.person, at=timezone.now()
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def change(self, request: Request, **kwargs: str) -> Response:
        """Change what is on record of a species; its code stays."""
        row, given = self.one(), read_body(sent(request), SpeciesChangeIn)
        changes = {
            name: value
            for name, value in msgspec.structs.asdict(given).items()
            if value is not UNSET
        }
        row = change_species(
            species=row, changes=changes, by=self.person, at=timezone.now()
        )
        return Response(self.shown([row])[0])
