"""Make and draw the packets that wait, as the schedule does."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from placements import pdf
from placements.actions.packet_jobs import draw_waiting
from placements.rules.packet_jobs import MOST_AT_ONCE


class Command(BaseCommand):
    help = (
        "Make and draw the packets that were asked for and wait. Several may run at "
        "once: none draws what another is at."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--most", type=int, default=MOST_AT_ONCE, help="how many at most"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        most = options["most"]
        if most < 1:
            raise CommandError(f"--most {most}: say 1 or more.")
        taken = draw_waiting(draw=pdf.draw, at=timezone.now(), most=most)
        self.stdout.write(f"{taken} taken." if taken else "Nothing waits to be drawn.")
