"""Animals, where they are, what they weigh and what they need."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from django.db.models import F, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import CharFilter, FilterSet, WordFilter
from api.findings import FindingOut, shown_findings
from api.growth import shown_growth
from api.growth_structs import GrowthAsked, GrowthOut
from api.lineages import LineageOut, shown_lineage
from api.pedigrees import PedigreeAsked, PedigreeOut, shown_pedigree
from api.structs import Asked, Instant, Out, Ref
from api.targets import TargetsOut, targets_on
from api.views import Rows
from api.weighings import WeighingOut, shown_weighings
from core.roles import Permission
from husbandry.models import Animal, Finding, Stay, Weighing
from husbandry.queries.weights import last_weighings
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)
from husbandry.rules.weights import WeighingPoint


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

    class Meta:
        model = Animal
        fields = ["code", "species", "status", "sex", "site", "enclosure"]

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


class LatestWeighing(Out, frozen=True):
    """The newest weighing in force."""

    id: int
    at: Instant
    mass_g: Annotated[Decimal, Meta(description="Grams.")]


class AnimalOut(Out, frozen=True):
    """One animal."""

    about = Animal
    id: int
    code: str
    name: str
    species: Annotated[str, Meta(description="Code of the species.")]
    sex: Sex
    sex_basis: SexBasis
    sex_confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    dam: Ref | None
    sire: Ref | None
    origin: Origin
    arrived_on: Annotated[
        date,
        Meta(
            description="First day in care here; of an ancestor elsewhere, the day on "
            "which it was put on record."
        ),
    ]
    status: AnimalStatus
    left_on: date | None
    microchip: str | None
    notes: str
    enclosure: Annotated[Ref | None, Meta(description="Where it lives now.")]
    latest_weighing: LatestWeighing | None


class Animals(Rows[Animal]):
    """Each with its enclosure and its latest weight."""

    plural = "animals"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "targets": Permission.SEE_ANIMALS,
        "findings": Permission.SEE_FINDINGS,
        "weighings": Permission.SEE_ANIMALS,
        "growth": Permission.SEE_ANIMALS,
        "pedigree": Permission.SEE_ANIMALS,
        "lineage": Permission.SEE_ANIMALS,
    }
    asks = {
        "targets": TargetsAsked,
        "growth": GrowthAsked,
        "pedigree": PedigreeAsked,
    }
    filterset_class = AnimalFilter
    gives = {
        "targets": TargetsOut,
        "findings": FindingOut,
        "weighings": WeighingOut,
        "growth": GrowthOut,
        "pedigree": PedigreeOut,
        "lineage": LineageOut,
    }
    paged = frozenset({"list", "findings", "weighings"})
    out = AnimalOut
    ordering = ("code", "id")
    orderings = {
        "findings": ("-last_seen_on", "id"),
        "weighings": ("-at", "-id"),
    }

    def get_queryset(self) -> QuerySet[Animal]:
        """Return all animals, with the codes of what they refer to.

        A code each instead of a whole row: most of a list's time is making rows.
        """
        return Animal.objects.annotate(
            species_code=F("species__code"),
            dam_code=F("dam__code"),
            sire_code=F("sire__code"),
        )

    def shown(self, rows: Sequence[Animal]) -> list[AnimalOut]:
        """Return animals with enclosure and latest weight; two queries."""
        ids = [row.pk for row in rows]
        places = _places(ids)
        weighings = last_weighings(animal_ids=ids, before_at=timezone.now())
        return [_shown(row, places.get(row.pk), weighings.get(row.pk)) for row in rows]

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


def _places(animal_ids: Sequence[int]) -> dict[int, Ref]:
    """Return where animals live now, by animal."""
    rows = Stay.objects.filter(animal__in=animal_ids, until_at__isnull=True)
    return {
        animal: Ref(id=enclosure, code=code)
        for animal, enclosure, code in rows.order_by("pk").values_list(
            "animal_id", "enclosure_id", "enclosure__code"
        )
    }


def _shown(row: Any, place: Ref | None, weighing: WeighingPoint | None) -> AnimalOut:
    """Return an animal as it is answered; `row` is one of `Animals.rows`."""
    return AnimalOut(
        id=row.pk,
        code=row.code,
        name=row.name,
        species=row.species_code,
        sex=Sex(row.sex),
        sex_basis=SexBasis(row.sex_basis),
        sex_confidence=Confidence(row.sex_confidence),
        hatched_on=row.hatched_on,
        hatched_precision=DatePrecision(row.hatched_precision),
        dam=Ref(id=row.dam_id, code=row.dam_code) if row.dam_id else None,
        sire=Ref(id=row.sire_id, code=row.sire_code) if row.sire_id else None,
        origin=Origin(row.origin),
        arrived_on=row.arrived_on,
        status=AnimalStatus(row.status),
        left_on=row.left_on,
        microchip=row.microchip,
        notes=row.notes,
        enclosure=place,
        latest_weighing=_latest(weighing) if weighing else None,
    )


def _latest(weighing: WeighingPoint) -> LatestWeighing:
    return LatestWeighing(id=weighing.id, at=weighing.at, mass_g=weighing.mass_g)
