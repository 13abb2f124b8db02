"""Arrivals: deliveries, from whom and how, with the animals that they brought."""

from collections.abc import Sequence
from http import HTTPStatus

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from api.arrivals_sent import details, rows
from api.filters import (
    CharFilter,
    FilterSet,
    HomeNumberFilter,
    InstantFilter,
    WordFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import read_body, sent
from api.intake_structs import (
    ArrivalIn,
    ArrivalOut,
    HoldIn,
    KnownAsked,
    KnownOut,
)
from api.intakes import shown_intake
from api.row_lists import check_count
from api.structs import Ref
from api.views import Rows
from core.roles import Permission
from placements.actions.holds import set_hold
from placements.actions.intakes import record_arrival
from placements.models import Arrival
from placements.queries.arrivals import arrivals
from placements.queries.intakes import by_code_or_chip
from placements.rules.intake_cautions import CAUTIONS
from placements.rules.intakes import MOST_ANIMALS
from placements.rules.vocabulary import IntakeSource


class ArrivalFilter(FilterSet):
    """Which deliveries; not by whom they came from."""

    site = CharFilter("site__code", help_text="Code of the site.")
    source = WordFilter(IntakeSource)
    animal = CharFilter(
        method="brought", help_text="Code of an animal that it brought."
    )
    from_at = InstantFilter("arrived_at", "gte", help_text="From this instant on.")
    until_at = InstantFilter("arrived_at", "lt", help_text="Before this instant.")
    home = HomeNumberFilter()
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = Arrival
        fields = [
            "site",
            "source",
            "animal",
            "from_at",
            "until_at",
            *("home", "recorded_from", "recorded_by"),
        ]

    def brought(
        self, found: QuerySet[Arrival], name: str, value: str
    ) -> QuerySet[Arrival]:
        """Return the deliveries that brought an animal, each once."""
        return found.filter(intakes__animal__code=value)


class Arrivals(Rows[Arrival]):
    """The newest first."""

    plural = "arrivals"
    permissions = {
        "list": Permission.RECORD_INTAKE,
        "retrieve": Permission.RECORD_INTAKE,
        "create": Permission.RECORD_INTAKE,
        "known": Permission.RECORD_INTAKE,
        "hold": Permission.OPEN_GATES,
    }
    filterset_class = ArrivalFilter
    asks = {"known": KnownAsked}
    takes = {"create": ArrivalIn, "hold": HoldIn}
    gives = {"create": {HTTPStatus.CREATED: ArrivalOut}, "known": KnownOut}
    out = ArrivalOut
    ordering = ("-arrived_at", "-id")
    searched = ("site__code", "hold_reason", "came_with")
    orderable = ("id", "arrived_at", "hold_until", "recorded_at")

    def get_queryset(self) -> QuerySet[Arrival]:
        """Return all deliveries."""
        return arrivals()

    def shown(self, rows: Sequence[Arrival]) -> list[ArrivalOut]:
        """Return deliveries; what tells of people only to those who see homes."""
        sees = self.person.may(Permission.SEE_HOMES)
        placed = self.person.may(Permission.SEE_PLACEMENTS)
        return [
            ArrivalOut(
                id=row.pk,
                site=Ref(id=row.site_id, code=row.site.code),
                source=IntakeSource(row.source),
                home=row.home_id if sees else None,
                found_at=row.found_at if sees else None,
                arrived_at=row.arrived_at,
                hold_until=row.hold_until,
                hold_reason=row.hold_reason,
                came_with=row.came_with,
                note=row.note if sees else None,
                recorded_by=str(row.recorded_by) if row.recorded_by else None,
                recorded_at=row.recorded_at,
                intakes=tuple(
                    shown_intake(one, sees_placements=placed)
                    for one in row.intakes.all()
                ),
                cautions=CAUTIONS,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Take in all animals of a delivery, or none of them.

        409 names everything that is wrong, a line each, with the place of the animal
        in `fields`. An animal that was here before by its code or chip has to be sent
        with `again` and its code; then its placement ends and it comes with its whole
        history. All are put into quarantine as the policy of their species says.
        """
        given, now = read_body(sent(request), ArrivalIn), timezone.now()
        check_count(len(given.animals), most=MOST_ANIMALS)
        arrival = record_arrival(
            arrival=details(given, now),
            animals=rows(given.animals),
            by=self.person,
            at=now,
        )
        row = self.get_queryset().get(pk=arrival.pk)
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=False)
    def known(self, request: Request) -> Response:
        """Look up an animal by its code or its chip, whether it is here or not."""
        asked = self.asked
        assert isinstance(asked, KnownAsked)  # noqa: S101 - see `asks`
        found = by_code_or_chip(asked.code_or_chip)
        if found is None:
            raise NotFound("No animal on record has this code or this chip.")
        return Response(
            KnownOut(
                animal=Ref(id=found.id, code=found.code),
                label=found.label,
                status=found.status,
                arrived_on=found.arrived_on,
                left_on=found.left_on,
                microchip=found.microchip,
            )
        )

    @action(detail=True, methods=["post"])
    def hold(self, request: Request, **kwargs: str) -> Response:
        """Hold the animals of a delivery until another day; local law decides."""
        row, given = self.one(), read_body(sent(request), HoldIn)
        set_hold(
            arrival=row,
            until_on=given.until_on,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([self.one()])[0])
