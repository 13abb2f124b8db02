"""Lamps over enclosures: fitted, removed, never moved; a new tube is a new lamp."""

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

from api.care_filters import in_room, room_filter
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    WordFilter,
)
from api.inputs import read_body, sent
from api.named import day_there, enclosure_named
from api.structs import In, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.lamps import fit_lamp, remove_lamp
from husbandry.models import Lamp
from husbandry.rules.vocabulary import LampKind


class LampFilter(FilterSet):
    """Which lamps."""

    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    room = room_filter("by_room")
    kind = WordFilter(LampKind)
    burning = BooleanFilter("removed_on", "isnull", help_text="true: not removed yet.")
    fitted_from = DayFilter(
        "fitted_on", "gte", help_text="Fitted on this day or later."
    )
    fitted_until = DayFilter(
        "fitted_on", "lte", help_text="Fitted on this day or earlier."
    )

    class Meta:
        model = Lamp
        fields = [
            "enclosure",
            "room",
            "kind",
            "burning",
            *("fitted_from", "fitted_until"),
        ]

    def by_room(self, rows: QuerySet[Lamp], name: str, value: str) -> QuerySet[Lamp]:
        """Return the lamps of a room."""
        return rows.filter(in_room("enclosure__room", value))


class LampIn(In, frozen=True):
    """A lamp that was fitted."""

    enclosure: Annotated[str, Meta(description="Code of the enclosure.")]
    kind: LampKind
    label: Annotated[
        str,
        Meta(max_length=80, description="What is written on it, in plain words."),
    ] = ""
    fitted_on: Annotated[
        date | None, Meta(description="First local day; today unless given.")
    ] = None


class RemovalIn(In, frozen=True):
    """That a lamp was taken away."""

    on: Annotated[
        date | None,
        Meta(description="Last local day on which it burnt; today unless given."),
    ] = None


class LampOut(Out, frozen=True):
    """One lamp over one enclosure."""

    about = Lamp
    id: int
    enclosure: Ref | None
    kind: LampKind
    label: str
    fitted_on: date
    removed_on: date | None


class Lamps(Rows[Lamp]):
    """The newest fitted first, removed ones too."""

    plural = "lamps"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "create": Permission.EDIT_PLACES,
        "remove": Permission.EDIT_PLACES,
    }
    filterset_class = LampFilter
    takes = {"create": LampIn, "remove": RemovalIn}
    gives = {"create": {HTTPStatus.CREATED: LampOut}}
    optional_bodies = frozenset({"remove"})
    out = LampOut
    ordering = ("-fitted_on", "-id")
    searched = ("enclosure__code", "label")
    orderable = ("id", "fitted_on", "removed_on")

    def get_queryset(self) -> QuerySet[Lamp]:
        """Return all lamps."""
        return Lamp.objects.select_related("enclosure__room__site")

    def shown(self, rows: Sequence[Lamp]) -> list[LampOut]:
        """Return lamps with the codes of their enclosures."""
        return [
            LampOut(
                id=row.pk,
                enclosure=ref(row.enclosure),
                kind=LampKind(row.kind),
                label=row.label,
                fitted_on=row.fitted_on,
                removed_on=row.removed_on,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Note a lamp over an enclosure; fitted again, the same changes nothing."""
        given, now = read_body(sent(request), LampIn), timezone.now()
        enclosure = enclosure_named(given.enclosure)
        row = fit_lamp(
            enclosure=enclosure,
            kind=given.kind,
            label=given.label,
            fitted_on=given.fitted_on or day_there(enclosure, now),
            by=self.person,
            at=now,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def remove(self, request: Request, **kwargs: str) -> Response:
        """Note that a lamp was taken away; it stays on record with its readings."""
        row, given, now = self.one(), RemovalIn(), timezone.now()
        if request.data:
            given = read_body(sent(request), RemovalIn)
        on = given.on or day_there(row.enclosure, now)
        remove_lamp(lamp=row, on=on, by=self.person, at=now)
        return Response(self.shown([self.one()])[0])
