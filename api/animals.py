"""Animals, where they are, what they weigh and what they need."""

from datetime import date
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_verbs import KeptAnimals
from api.care_filters import in_room, room_filter
from api.filters import CharFilter, DayFilter, FilterSet, WordFilter
from api.findings import FindingOut, shown_findings
from api.growth import shown_growth
from api.growth_structs import GrowthAsked, GrowthOut
from api.lineages import LineageOut, shown_lineage
from api.pedigrees import PedigreeAsked, PedigreeOut, shown_pedigree
from api.structs import Asked
from api.targets import TargetsOut, targets_on
from api.weighings import WeighingOut, shown_weighings
from core.roles import Permission
from husbandry.models import Animal, Finding, Stay, Weighing
from husbandry.rules.vocabulary import AnimalStatus, Origin, Sex


class AnimalFilter(FilterSet):
    """Which animals."""

    code = CharFilter(help_text="Code on its label.")
    species = CharFilter("species__code", help_text="Code of the species.")
    status = WordFilter(AnimalStatus)
    sex = WordFilter(Sex)
    site = CharFilter(
        "enclosure__room__site__code",
        method="living_in",
        help_text="Code of the site where they live now.",
    )
    enclosure = CharFilter(
        "enclosure__code",
        method="living_in",
        help_text="Code of the enclosure where they live now.",
    )

    room = room_filter("living_in_room")
    dam = CharFilter("dam__code", help_text="Code of the mother.")
    sire = CharFilter("sire__code", help_text="Code of the father.")
    origin = WordFilter(Origin)
    microchip = CharFilter(help_text="Its digits, without spaces.")
    hatched_from = DayFilter("hatched_on", "gte", help_text="First day of hatching.")
    hatched_until = DayFilter("hatched_on", "lte", help_text="Last day of hatching.")
    arrived_from = DayFilter("arrived_on", "gte", help_text="First day of arrival.")
    arrived_until = DayFilter("arrived_on", "lte", help_text="Last day of arrival.")
    left_from = DayFilter("left_on", "gte", help_text="First day of leaving.")
    left_until = DayFilter("left_on", "lte", help_text="Last day of leaving.")

    class Meta:
        model = Animal
        fields = [
            *("code", "species", "status", "sex", "site", "enclosure", "room"),
            *("dam", "sire", "origin", "microchip"),
            *("hatched_from", "hatched_until", "arrived_from", "arrived_until"),
            *("left_from", "left_until"),
        ]

    def living_in_room(
        self, rows: QuerySet[Animal], name: str, value: str
    ) -> QuerySet[Animal]:
        """Return the animals with an open stay in a room."""
        there = in_room("enclosure__room", value)
        stays = Stay.objects.filter(there, until_at__isnull=True)
        return rows.filter(pk__in=stays.values("animal"))

    def living_in(
        self, rows: QuerySet[Animal], name: str, value: str
    ) -> QuerySet[Animal]:
        """Return the animals with an open stay there."""
        stays = Stay.objects.filter(**{name: value}, until_at__isnull=True)
        return rows.filter(pk__in=stays.values("animal"))


class TargetsAsked(Asked, frozen=True):
    """On which day."""

    on: Annotated[
        date | None, Meta(description="The local day; today in UTC unless given.")
    ] = None


class Animals(KeptAnimals):
    """Each with its enclosure and its latest weight."""

    plural = "animals"
    permissions = {
        **KeptAnimals.permissions,
        "targets": Permission.SEE_ANIMALS,
        "findings": Permission.SEE_FINDINGS,
        "weighings": Permission.SEE_ANIMALS,
        "growth": Permission.SEE_ANIMALS,
        "pedigree": Permission.SEE_ANIMALS,
        "lineage": Permission.SEE_ANIMALS,
    }
    asks = {
        **KeptAnimals.asks,
        "targets": TargetsAsked,
        "growth": GrowthAsked,
        "pedigree": PedigreeAsked,
    }
    filterset_class = AnimalFilter
    gives = {
        **KeptAnimals.gives,
        "targets": TargetsOut,
        "findings": FindingOut,
        "weighings": WeighingOut,
        "growth": GrowthOut,
        "pedigree": PedigreeOut,
        "lineage": LineageOut,
    }
    paged = frozenset({"list", "findings", "weighings"})
    ordering = ("code", "id")
    searched = ("code", "name", "microchip", "notes")
    orderable = (
        "id",
        "code",
        "name",
        "sex",
        "status",
        "hatched_on",
        "arrived_on",
        "left_on",
    )
    orderings = {
        "findings": ("-last_seen_on", "id"),
        "weighings": ("-at", "-id"),
    }

    @action(detail=True)
    def targets(self, request: Request, **kwargs: str) -> Response:
        """Show what an animal needs on a day.

        Every value comes with its source, its standing, and what other sources say
        instead. Temperatures are in °C, humidity in %.
        """
        asked, at = self.asked, timezone.now()
        assert isinstance(asked, TargetsAsked)  # noqa: S101 - see `asks`
        return Response(targets_on(animal=self.one(), on=asked.on or at.date(), at=at))

    @action(detail=True)
    def findings(self, request: Request, **kwargs: str) -> Response:
        """List what was or is wrong with an animal, the newest first."""
        rows = Finding.objects.filter(animal=self.one())
        return self.page_of(rows, lambda page: shown_findings(page, reader=self.person))

    @action(detail=True)
    def weighings(self, request: Request, **kwargs: str) -> Response:
        """List what an animal weighed, the newest first; corrected ones too."""
        rows = Weighing.objects.filter(animal=self.one())
        return self.page_of(rows, shown_weighings)

    @action(detail=True)
    def growth(self, request: Request, **kwargs: str) -> Response:
        """Show how an animal grows.

        Its weighings and its clutch-mates', a robust trend, growth curves with what
        they do not support, and mass by length, of which no validated score exists.
        Masses are in grams, ages in days. Nothing here is a diagnosis: an animal that
        loses weight is for a licensed reptile vet to see.
        """
        asked = self.asked
        assert isinstance(asked, GrowthAsked)  # noqa: S101 - see `asks`
        return Response(shown_growth(self.one(), asked=asked, at=timezone.now()))

    @action(detail=True)
    def lineage(self, request: Request, **kwargs: str) -> Response:
        """Show an animal's inbreeding, its mean kinship, and who may be its sire.

        An unknown parent counts as unrelated to everybody, so the figures of an
        animal with one in its ancestry are lower bounds and marked so.
        """
        return Response(shown_lineage(self.one()))

    @action(detail=True)
    def pedigree(self, request: Request, **kwargs: str) -> Response:
        """Show whom an animal descends from, and its young.

        Every way up is a place of its own; places of the same animal share a mark.
        Where the sire is one of several, the candidates stand in his place.
        """
        asked = self.asked
        assert isinstance(asked, PedigreeAsked)  # noqa: S101 - see `asks`
        return Response(shown_pedigree(self.one(), asked=asked))
