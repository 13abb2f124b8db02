"""Deaths: how animals died, and what a necropsy said later."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.care_structs import Text
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    on_record_by,
    on_record_from,
)
from api.inputs import read_body, sent
from api.prescriptions import CAUTION
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.deaths import record_death, record_necropsy
from husbandry.models import Death
from husbandry.queries.stays import local_day_of
from husbandry.rules.health.cautions import DEATHS

DAY = Annotated[date | None, Meta(description="Local day; today unless given.")]


class DeathFilter(FilterSet):
    """Which deaths."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    necropsy = BooleanFilter(
        "necropsy_on", "isnull", exclude=True, help_text="true: one is on record."
    )
    from_on = DayFilter("on", "gte", help_text="On this day or later.")
    until_on = DayFilter("on", "lte", help_text="On this day or earlier.")
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = Death
        fields = [
            "animal",
            "necropsy",
            "from_on",
            "until_on",
            *("recorded_from", "recorded_by"),
        ]


class DeathIn(In, frozen=True, kw_only=True):
    """That an animal died."""

    animal: LABEL
    on: Annotated[
        date | None,
        Meta(description="Local day of death or of being found; today unless given."),
    ] = None
    circumstances: Annotated[
        Text, Meta(min_length=1, description="How, as far as it is known.")
    ]
    euthanised_by: Annotated[
        str,
        Meta(max_length=160, description="Licensed vet, where it was put to sleep."),
    ] = ""


class NecropsyIn(In, frozen=True, kw_only=True):
    """What a vet found after death."""

    on: DAY = None
    necropsy_by: Annotated[
        str,
        Meta(min_length=1, max_length=160, description="Licensed vet or laboratory."),
    ]
    necropsy: Annotated[Text, Meta(min_length=1, description="In the vet's words.")]


class DeathOut(Out, frozen=True):
    """How one animal died."""

    about = Death
    id: int
    animal: Ref | None
    on: date
    circumstances: str
    euthanised_by: str
    necropsy_on: date | None
    necropsy_by: str
    necropsy: str
    recorded_by: str | None
    recorded_at: Instant
    caution: CAUTION


class Deaths(Rows[Death]):
    """The newest first."""

    plural = "deaths"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.EDIT_ANIMALS,
        "necropsy": Permission.EDIT_ANIMALS,
    }
    filterset_class = DeathFilter
    takes = {"create": DeathIn, "necropsy": NecropsyIn}
    gives = {"create": {HTTPStatus.CREATED: DeathOut}}
    out = DeathOut
    ordering = ("-on", "-id")
    searched = ("animal__code", "circumstances", "necropsy")
    orderable = ("id", "on", "recorded_at")

    def get_queryset(self) -> QuerySet[Death]:
        """Return all deaths."""
        return Death.objects.select_related("animal", "recorded_by")

    def shown(self, rows: Sequence[Death]) -> list[DeathOut]:
        """Return deaths with the codes of the animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record that an animal died: its stay ends, and it is in care no more."""
        given, now = read_body(sent(request), DeathIn), timezone.now()
        animal = animal_named(given.animal)
        row = record_death(
            animal=animal,
            on=given.on or local_day_of(animal=animal, at=now),
            circumstances=given.circumstances,
            euthanised_by=given.euthanised_by,
            by=self.person,
            at=now,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def necropsy(self, request: Request, **kwargs: str) -> Response:
        """Record what a vet found after death, in the vet's words."""
        row, now = self.one(), timezone.now()
        given = read_body(sent(request), NecropsyIn)
        record_necropsy(
            death=row,
            on=given.on or local_day_of(animal=row.animal, at=now),
            necropsy_by=given.necropsy_by,
            necropsy=given.necropsy,
            by=self.person,
            at=now,
        )
        return Response(self.shown([self.one()])[0])


def _shown(row: Death) -> DeathOut:
    return DeathOut(
        id=row.pk,
        animal=ref(row.animal),
        on=row.on,
        circumstances=row.circumstances,
        euthanised_by=row.euthanised_by,
        necropsy_on=row.necropsy_on,
        necropsy_by=row.necropsy_by,
        necropsy=row.necropsy,
        recorded_by=str(row.recorded_by) if row.recorded_by else None,
        recorded_at=row.recorded_at,
        caution=DEATHS.text,
    )
