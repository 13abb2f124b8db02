"""When placements works by itself: each task reads the clock and makes one call."""

from celery import shared_task
from django.utils.timezone import now

from placements import pdf
from placements.actions import personal_data, register
from placements.actions.packet_jobs import draw_waiting


@shared_task(name="placements.tasks.draw_packets")
def draw_packets() -> int:
    """Make and draw the packets that were asked for and wait."""
    return draw_waiting(draw=pdf.draw, at=now())


@shared_task(name="placements.tasks.erase_past_data")
def erase_past_data() -> int:
    """Erase personal data of homes that have been kept for as long as the policy says."""
    return personal_data.erase_past_data(at=now())


@shared_task(name="placements.tasks.write_register")
def write_register() -> int:
    """Append to the register what is on record of comings and goings and not in it yet."""
    return register.write_register(by=None, at=now())
