"""Pairings: who is meant to breed, when they last met, what is expected of her."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta, structs
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import animal_named
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
)
from api.inputs import read_body, sent
from api.laying_windows import OutlookOut, shown_outlook
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from clutches.actions.pairings import end_pairing, plan_pairing
from clutches.models import Pairing
from clutches.queries.pairings import PairingLine, pairing_lines
from clutches.rules.pairings.introductions import CAUTION
from clutches.rules.vocabulary import IntroductionOutcome
from core.roles import Permission
from husbandry.queries.stays import local_day_of

REASON = Annotated[str, Meta(max_length=300, description="Why.")]


class PairingFilter(FilterSet):
    """Which pairings."""

    dam = CharFilter("dam__code", help_text="Code of the female.")
    sire = CharFilter("sire__code", help_text="Code of the male.")
    species = CharFilter("dam__species__code", help_text="Code of the species.")
    open = BooleanFilter("ended_on", "isnull", help_text="true: not ended.")
    planned_from = DayFilter(
        "planned_on", "gte", help_text="Planned for this day or later."
    )
    planned_until = DayFilter(
        "planned_on", "lte", help_text="Planned for this day or earlier."
    )

    class Meta:
        model = Pairing
        fields = [
            "dam",
            "sire",
            "species",
            "open",
            *("planned_from", "planned_until"),
        ]


class PairingIn(In, frozen=True, kw_only=True):
    """A female and a male that are to breed."""

    dam: Annotated[str, Meta(description="Code of the female.")]
    sire: Annotated[str, Meta(description="Code of the male.")]
    planned_on: Annotated[
        date | None, Meta(description="Local day; today unless given.")
    ] = None
    reason: REASON = ""


class PairingEndIn(In, frozen=True):
    """That a pair is not put together again."""

    on: Annotated[
        date | None, Meta(description="From this local day on; today unless given.")
    ] = None
    reason: REASON = ""


class PairingOut(Out, frozen=True):
    """One pairing."""

    about = Pairing
    id: int
    dam: Ref | None
    sire: Ref | None
    planned_on: date
    reason: str
    ended_on: date | None
    created_by: Annotated[str | None, Meta(description="null: the program itself.")]
    created_at: Instant
    introductions: Annotated[int, Meta(description="How many are in force.")]
    last_at: Annotated[Instant | None, Meta(description="When they last met.")]
    last_outcome: IntroductionOutcome | None
    outlook: Annotated[
        OutlookOut, Meta(description="Of the female, whoever the male was.")
    ]


class PlannedPairing(PairingOut, frozen=True):
    """A pairing that was just planned."""

    remarks: Annotated[
        tuple[str, ...], Meta(description="What speaks against it; it is kept.")
    ]
    caution: Annotated[str, Meta(description="What to mind when they meet.")]


class Pairings(Rows[Pairing]):
    """The newest planned first, ended ones too."""

    plural = "pairings"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "end": Permission.RECORD_BREEDING,
    }
    filterset_class = PairingFilter
    takes = {"create": PairingIn, "end": PairingEndIn}
    gives = {"create": {HTTPStatus.CREATED: PlannedPairing}}
    optional_bodies = frozenset({"end"})
    out = PairingOut
    ordering = ("-planned_on", "-id")
    searched = ("dam__code", "sire__code", "reason")
    orderable = ("id", "planned_on", "ended_on", "created_at")

    def get_queryset(self) -> QuerySet[Pairing]:
        """Return all pairings."""
        return Pairing.objects.select_related("dam", "sire", "created_by")

    def shown(self, rows: Sequence[Pairing]) -> list[PairingOut]:
        """Return pairings with what is expected; eight queries."""
        lines = pairing_lines(pairings=rows, at=timezone.now())
        return [_shown(row, lines[row.pk]) for row in rows]

    def create(self, request: Request) -> Response:
        """Plan that a female and a male breed.

        What speaks against them (kin, age, mass, rest, season, health) is answered as
        remarks and refuses nothing. Two species, a male dam, a female sire or an
        animal that is not in care are refused with 409.
        """
        given, now = read_body(sent(request), PairingIn), timezone.now()
        dam, sire = animal_named(given.dam), animal_named(given.sire)
        result = plan_pairing(
            dam=dam,
            sire=sire,
            planned_on=given.planned_on or local_day_of(animal=dam, at=now),
            reason=given.reason,
            by=self.person,
            at=now,
        )
        (shown,) = self.shown([self.get_queryset().get(pk=result.pairing.pk)])
        told = PlannedPairing(
            **structs.asdict(shown), remarks=result.remarks, caution=CAUTION
        )
        return Response(told, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def end(self, request: Request, **kwargs: str) -> Response:
        """Note that a pair is not put together again; it stays on record."""
        row, given, now = self.one(), PairingEndIn(), timezone.now()
        if request.data:
            given = read_body(sent(request), PairingEndIn)
        on = given.on or local_day_of(animal=row.dam, at=now)
        end_pairing(pairing=row, on=on, by=self.person, at=now, reason=given.reason)
        return Response(self.shown([self.one()])[0])


def _shown(row: Pairing, line: PairingLine) -> PairingOut:
    return PairingOut(
        id=row.pk,
        dam=ref(row.dam),
        sire=ref(row.sire),
        planned_on=row.planned_on,
        reason=row.reason,
        ended_on=row.ended_on,
        created_by=str(row.created_by) if row.created_by else None,
        created_at=row.created_at,
        introductions=line.introductions,
        last_at=line.last_at,
        last_outcome=line.last_outcome,
        outlook=shown_outlook(line),
    )
