"""Enclosures: how they stand, and who lives there."""

from collections.abc import Sequence
from datetime import date, datetime, time
from decimal import Decimal
from typing import Annotated
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from msgspec import Meta

from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.structs import Out, Ref, from_row, ref
from api.views import Rows
from core.roles import Permission
from husbandry.models import Enclosure, Setup, Stay
from husbandry.rules.vocabulary import EnclosureKind, Lights, Misting


class EnclosureFilter(FilterSet):
    """Which enclosures."""

    code = CharFilter(help_text="Code on its label.")
    site = CharFilter("room__site__code", help_text="Code of the site.")
    room = CharFilter("room__code", help_text="Code of the room.")
    kind = WordFilter(EnclosureKind)
    in_use = BooleanFilter("retired_on", "isnull", help_text="true: not retired.")

    class Meta:
        model = Enclosure
        fields = ["code", "site", "room", "kind", "in_use"]


class SetupOut(Out, frozen=True):
    """How an enclosure stands from a day on."""

    about = Setup
    from_on: date
    width_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    depth_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    height_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    lights: Lights
    lights_on: time | None
    lights_off: time | None
    laying_bin: bool
    misting: Misting


class EnclosureOut(Out, frozen=True):
    """One enclosure as it stands today."""

    about = Enclosure
    id: int
    code: str
    site: Ref | None
    room: Ref | None
    position: int
    kind: EnclosureKind
    retired_on: date | None
    notes: str
    setup: Annotated[
        SetupOut | None,
        Meta(description="In force on the site's day today; null: never described."),
    ]
    animals: Annotated[tuple[Ref, ...], Meta(description="Who lives there now.")]
    probes: Annotated[tuple[Ref, ...], Meta(description="Its probes in use today.")]


class Enclosures(Rows[Enclosure]):
    """In walking order within a room; incubators too."""

    plural = "enclosures"
    permissions = {"list": Permission.SEE_ANIMALS, "retrieve": Permission.SEE_ANIMALS}
    filterset_class = EnclosureFilter
    out = EnclosureOut
    ordering = ("room_id", "position", "code", "id")

    def get_queryset(self) -> QuerySet[Enclosure]:
        """Return all enclosures with what stands and lives in them."""
        stays = Stay.objects.filter(until_at__isnull=True).select_related("animal")
        return Enclosure.objects.select_related("room__site").prefetch_related(
            Prefetch("setups", Setup.objects.order_by("from_on")),
            Prefetch("stays", stays.order_by("place", "pk"), to_attr="open_stays"),
            "probes",
        )

    def shown(self, rows: Sequence[Enclosure]) -> list[EnclosureOut]:
        """Return enclosures as they stand on the local day of each."""
        return [_shown(row, timezone.now()) for row in rows]


def _shown(row: Enclosure, at: datetime) -> EnclosureOut:
    today = at.astimezone(ZoneInfo(row.room.site.time_zone)).date()
    begun = [setup for setup in row.setups.all() if setup.from_on <= today]
    in_use = [
        probe
        for probe in row.probes.all()
        if probe.from_on <= today
        and (probe.retired_on is None or probe.retired_on >= today)
    ]
    stays: list[Stay] = getattr(row, "open_stays")  # noqa: B009 - named by the prefetch
    return EnclosureOut(
        id=row.pk,
        code=row.code,
        site=ref(row.room.site),
        room=ref(row.room),
        position=row.position,
        kind=EnclosureKind(row.kind),
        retired_on=row.retired_on,
        notes=row.notes,
        setup=from_row(begun[-1], SetupOut) if begun else None,
        animals=tuple(Ref(id=s.animal.pk, code=s.animal.code) for s in stays),
        probes=tuple(Ref(id=p.pk, code=p.code) for p in in_use),
    )
