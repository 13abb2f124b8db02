"""Stays: who lived where, from when until when."""

from collections.abc import Sequence
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta

from api.filters import BooleanFilter, CharFilter, FilterSet
from api.structs import Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import Stay


class StayFilter(FilterSet):
    """Which stays."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    current = BooleanFilter("until_at", "isnull", help_text="true: not ended yet.")

    class Meta:
        model = Stay
        fields = ["animal", "enclosure", "current"]


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
    permissions = {"list": Permission.SEE_ANIMALS, "retrieve": Permission.SEE_ANIMALS}
    filterset_class = StayFilter
    out = StayOut
    ordering = ("-from_at", "-id")

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
