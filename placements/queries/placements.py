"""Placements, with everything that a list of them shows."""

from django.db.models import Prefetch, QuerySet

from placements.models import Packet, Placement


def placements() -> QuerySet[Placement]:
    """Return all placements with animal, home and packets, soonest first."""
    return (
        Placement.objects.select_related("animal__species", "home")
        .prefetch_related(
            Prefetch("packets", Packet.objects.defer("snapshot").order_by("version"))
        )
        .order_by("planned_on", "pk")
    )
