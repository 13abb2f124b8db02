"""Stays: who lived where, from when until when."""

from collections.abc import Sequence
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta

from api.structs import Instant, Out, Paged, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import Stay


class StayAsked(Paged, frozen=True):
    """Which stays."""

    lookups = {
        "animal": "animal__code",
        "enclosure": "enclosure__code",
        "current": "until_at__isnull",
    }
    animal: Annotated[str | None, Meta(description="Code of the animal.")] = None
    enclosure: Annotated[str | None, Meta(description="Code of the enclosure.")] = None
    current: Annotated[bool | None, Meta(description="true: not ended yet.")] = None


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
    asks = {"list": StayAsked}
    out = StayOut
    ordering = ("-from_at", "-id")

    def rows(self) -> QuerySet[Stay]:
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
