"""Quarantines: who is kept apart, since when, and what is missing to let it out."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus

from django.db.models import QuerySet
from django.utils import timezone
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
from api.quarantine_structs import (
    ClearIn,
    QuarantineIn,
    QuarantineOut,
    shown_quarantine,
)
from api.views import Rows
from core.roles import Permission
from husbandry.models import Quarantine
from husbandry.queries.quarantine import quarantines_held
from husbandry.queries.stays import local_day_of
from placements.actions.quarantine import clear, keep_apart
from placements.queries.quarantine import clearances_of, states_today


class QuarantineFilter(FilterSet):
    """Which quarantines."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    group = CharFilter(help_text="Whose newcomers restart its clock.")
    held_on = DayFilter(
        method="held", help_text="Those that held at the end of this local day."
    )
    open = BooleanFilter("ended_on", "isnull", help_text="true: not ended.")
    began_from = DayFilter("began_on", "gte", help_text="Began on this day or later.")
    began_until = DayFilter(
        "began_on", "lte", help_text="Began on this day or earlier."
    )

    class Meta:
        model = Quarantine
        fields = [
            "animal",
            "group",
            "held_on",
            *("open", "began_from", "began_until"),
        ]

    def held(
        self, rows: QuerySet[Quarantine], name: str, value: date
    ) -> QuerySet[Quarantine]:
        """Return those that held on a day."""
        return rows.filter(quarantines_held(on=value))


class Quarantines(Rows[Quarantine]):
    """The newest first; those that are open say how they stand now."""

    plural = "quarantines"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "begin": Permission.RECORD_INTAKE,
        "clear": Permission.END_QUARANTINE,
    }
    filterset_class = QuarantineFilter
    takes = {"begin": QuarantineIn, "clear": ClearIn}
    gives = {"begin": {HTTPStatus.CREATED: QuarantineOut}, "clear": QuarantineOut}
    optional_bodies = frozenset({"clear"})
    out = QuarantineOut
    ordering = ("-began_on", "-id")
    searched = ("animal__code", "group", "reason")
    orderable = ("id", "began_on", "ended_on")

    def get_queryset(self) -> QuerySet[Quarantine]:
        """Return all quarantines."""
        return Quarantine.objects.select_related("animal")

    def shown(self, rows: Sequence[Quarantine]) -> list[QuarantineOut]:
        """Return quarantines; the open ones with their criteria as of now."""
        open_ = [row.animal_id for row in rows if row.ended_on is None]
        states = states_today(at=timezone.now(), animal_ids=open_) if open_ else ()
        by_id = {state.id: state for state in states}
        cleared = clearances_of(quarantine_ids=[row.pk for row in rows])
        return [
            shown_quarantine(row, by_id.get(row.pk), cleared.get(row.pk))
            for row in rows
        ]

    @action(detail=False, methods=["post"])
    def begin(self, request: Request) -> Response:
        """Put an animal into quarantine, such as one that fell ill.

        Newcomers are put into it by their arrival, as the policy says. Nothing is
        moved: move it into a room that is marked for quarantine.
        """
        given, now = read_body(sent(request), QuarantineIn), timezone.now()
        animal = animal_named(given.animal)
        row = keep_apart(
            animal=animal,
            on=given.on or local_day_of(animal=animal, at=now),
            group=given.group,
            reason=given.reason,
            by=self.person,
            at=now,
        )
        (shown,) = self.shown([row])
        return Response(shown, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def clear(self, request: Request, **kwargs: str) -> Response:
        """Let an animal out of quarantine; the criteria stay on record as they were.

        Where one is not met, or not known to be, it is refused with 409 unless
        `despite` says why it is let out nevertheless. Nothing is moved.
        """
        row, now = self.one(), timezone.now()
        given = read_body(sent(request), ClearIn) if request.data else ClearIn()
        clear(
            quarantine=row,
            on=given.on or local_day_of(animal=row.animal, at=now),
            despite=given.despite,
            by=self.person,
            at=now,
        )
        (shown,) = self.shown([self.one()])
        return Response(shown)
