"""Stays: who lived where, from when until when; recorded after the fact, too."""

from collections.abc import Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Annotated

from django.db.models import Q, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.care_filters import in_room, room_filter
from api.clutch_structs import named
from api.filters import BooleanFilter, CharFilter, FilterSet, InstantFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.stays import record_move
from husbandry.models import Stay


class StayFilter(FilterSet):
    """Which stays."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    room = room_filter("by_room")
    at = InstantFilter(method="at_instant", help_text="Those that hold this instant.")
    current = BooleanFilter("until_at", "isnull", help_text="true: not ended yet.")
    from_at = InstantFilter(
        "from_at", "gte", help_text="Moved in at this instant or later."
    )
    until_at = InstantFilter("from_at", "lt", help_text="Moved in before this instant.")

    class Meta:
        model = Stay
        fields = [
            *("animal", "enclosure", "room", "at", "current"),
            *("from_at", "until_at"),
        ]

    def at_instant(
        self, rows: QuerySet[Stay], name: str, value: datetime
    ) -> QuerySet[Stay]:
        """Return the stays that had begun by an instant and lasted beyond it."""
        still = Q(until_at__isnull=True) | Q(until_at__gt=value)
        return rows.filter(still, from_at__lte=value)

    def by_room(self, rows: QuerySet[Stay], name: str, value: str) -> QuerySet[Stay]:
        """Return the stays in a room."""
        return rows.filter(in_room("enclosure__room", value))


class StayIn(In, frozen=True, kw_only=True):
    """That an animal was put into an enclosure."""

    animal: LABEL
    enclosure: Annotated[str, Meta(description="Code of the enclosure.")]
    from_at: Annotated[
        Instant | None,
        Meta(
            description="Since when; now unless given, never to come, and after its "
            "present stay began, which ends with it."
        ),
    ] = None
    reason: Annotated[str, Meta(max_length=200)] = ""


class StayOut(Out, frozen=True):
    """One animal in one enclosure."""

    about = Stay
    id: int
    animal: Ref | None
    enclosure: Ref | None
    place: int | None
    from_at: Instant
    until_at: Annotated[Instant | None, Meta(description="null: still there.")]
    moved_by: Annotated[str | None, Meta(description="null: the program itself.")]
    reason: str


class Stays(Rows[Stay]):
    """The newest first."""

    plural = "stays"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.MOVE_ANIMALS,
    }
    takes = {"create": StayIn}
    gives = {"create": {HTTPStatus.CREATED: StayOut}}
    filterset_class = StayFilter
    out = StayOut
    ordering = ("-from_at", "-id")
    searched = ("animal__code", "enclosure__code", "reason")
    orderable = ("id", "from_at", "until_at")

    def get_queryset(self) -> QuerySet[Stay]:
        """Return all stays."""
        return Stay.objects.select_related("animal", "enclosure", "moved_by")

    def shown(self, rows: Sequence[Stay]) -> list[StayOut]:
        """Return stays with the codes of animal and enclosure."""
        return [
            StayOut(
                id=row.pk,
                animal=ref(row.animal),
                enclosure=ref(row.enclosure),
                place=row.place,
                from_at=row.from_at,
                until_at=row.until_at,
                moved_by=str(row.moved_by) if row.moved_by else None,
                reason=row.reason,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record a stay: that an animal was put into an enclosure, now or earlier.

        Its stay before ends at the same instant, and the nights since are reviewed
        again. What animals/{id}/move/ refuses is refused here; that address also takes
        one out without a new enclosure.
        """
        given, now = read_body(sent(request), StayIn), timezone.now()
        row = record_move(
            animal=animal_named(given.animal),
            to=named("enclosure", given.enclosure),
            moved_at=given.from_at or now,
            by=self.person,
            at=now,
            reason=given.reason,
        )
        assert row is not None  # noqa: S101 - it was moved into an enclosure
        (shown,) = self.shown([self.get_queryset().get(pk=row.pk)])
        return Response(shown, status=HTTPStatus.CREATED)
