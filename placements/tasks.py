"""When placements works by itself: each task reads the clock and makes one call."""

from celery import shared_task
from django.utils.timezone import now

from placements import pdf
from placements.actions.packet_jobs import draw_waiting


@shared_task(name="placements.tasks.draw_packets")
def draw_packets() -> int:
    """Make and draw the packets that were asked for and wait."""
    return draw_waiting(draw=pdf.draw, at=now())
