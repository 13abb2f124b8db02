"""Placements: animals on their way to their homes."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta

from api.filters import CharFilter, FilterSet, WordFilter
from api.structs import Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from placements.models import Placement
from placements.queries.placements import placements
from placements.rules.vocabulary import PlacementKind, PlacementState


class PlacementFilter(FilterSet):
    """Which placements."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    state = WordFilter(PlacementState)
    kind = WordFilter(PlacementKind)

    class Meta:
        model = Placement
        fields = ["animal", "state", "kind"]


class PlacementOut(Out, frozen=True):
    """One animal on its way to one home."""

    about = Placement
    id: int
    animal: Ref | None
    home: Annotated[
        int | None,
        Meta(description="Number of the home; null for those who may not see homes."),
    ]
    kind: PlacementKind
    state: PlacementState
    planned_on: date
    handed_over_on: date | None
    packets: Annotated[
        tuple[Ref, ...], Meta(description="Its packets, the first version first.")
    ]


class Placements(Rows[Placement]):
    """The soonest planned first."""

    plural = "placements"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
    }
    filterset_class = PlacementFilter
    out = PlacementOut
    ordering = ("planned_on", "id")

    def get_queryset(self) -> QuerySet[Placement]:
        """Return all placements."""
        return placements()

    def shown(self, rows: Sequence[Placement]) -> list[PlacementOut]:
        """Return placements; the home only to those who may see homes."""
        sees_homes = self.person.may(Permission.SEE_HOMES)
        return [
            PlacementOut(
                id=row.pk,
                animal=ref(row.animal),
                home=row.home_id if sees_homes else None,
                kind=PlacementKind(row.kind),
                state=PlacementState(row.state),
                planned_on=row.planned_on,
                handed_over_on=row.handed_over_on,
                packets=tuple(Ref(id=p.pk, code=p.number) for p in row.packets.all()),
            )
            for row in rows
        ]
